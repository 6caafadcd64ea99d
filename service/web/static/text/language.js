// The language of the page: which one it is, and its texts from the catalogue that the service sends.

import { american } from "./american.js";

/** @typedef {{ texts: Record<string, string | string[]>, notes: Record<string, string> }} Catalogue */

const KEY = "handframe-language";
/** Languages by their own names. @type {Record<string, string>} */
export const LANGUAGES = {
  "en-GB": "English (British)",
  "en-US": "English (American)",
  de: "Deutsch",
  fr: "Français",
  it: "Italiano",
  es: "Español",
};

/** The window of the page; tests have none. @type {any} */
const page = globalThis;
const root = page.document?.documentElement;
/** What the player has chosen here before; else what the browser asked the service for. */
export const language = chosenLanguage();
/** @type {Catalogue} */
const NO_TEXTS = { texts: {}, notes: {} };
const catalogue = await loadCatalogue(language);
const plurals = new Intl.PluralRules(language);
if (root) root.lang = language;

function chosenLanguage() {
  const asked = root?.lang ?? "";
  return kept() ?? (asked in LANGUAGES ? asked : "en-GB");
}

function kept() {
  try {
    const value = page.localStorage.getItem(KEY) ?? "";
    return value in LANGUAGES ? value : null;
  } catch {
    return null; // a browser that keeps nothing
  }
}

/** Keep a language for the next time the page is loaded. @param {string} chosen */
export function keepLanguage(chosen) {
  try {
    page.localStorage.setItem(KEY, chosen);
  } catch {
    // Without storage the page stays in the language that the browser asks for.
  }
}

/** @param {string} name */
async function loadCatalogue(name) {
  if (name.startsWith("en")) return NO_TEXTS;
  const answer = await fetch(`/page/texts/${name}.json`);
  return answer.ok ? /** @type {Promise<Catalogue>} */ (answer.json()) : NO_TEXTS;
}

/**
 * A text in the language of the page, with its places filled in.
 * @param {string} text
 * @param {Record<string, string | number>} [fields]
 */
export const say = (text, fields = {}) => filled(one(catalogue.texts[text]) ?? english(text), fields);

/**
 * A text that depends on a number, which is `{n}`.
 * @param {number} number
 * @param {string} single
 * @param {string} many
 * @param {Record<string, string | number>} [fields]
 */
export function count(number, single, many, fields = {}) {
  const forms = catalogue.texts[single];
  const isOne = plurals.select(number) === "one";
  const text = Array.isArray(forms) ? forms[isOne ? 0 : forms.length - 1] : english(isOne ? single : many);
  return filled(text, { n: number.toLocaleString(language), ...fields });
}

/** Some things in a row: "A, B and C". @param {string[]} items */
export const allOf = (items) => new Intl.ListFormat(language === "en-US" ? "en-GB" : language).format(items);

/** The name of a note as this language has it, for a name such as Bb; undefined in English. @param {string} name */
export const translatedNote = (name) => catalogue.notes[name];

/** @param {string | string[] | undefined} text */
const one = (text) => (Array.isArray(text) ? text[0] : text);

/** @param {string} text */
const english = (text) => (language === "en-US" ? american(text) : text);

/** @param {string} text @param {Record<string, string | number>} fields */
const filled = (text, fields) => text.replace(/\{(\w+)\}/g, (place, name) => String(fields[name] ?? place));

/**
 * The same texts in the language of the page; functions say theirs themselves.
 * @template T
 * @param {T} texts
 * @returns {T}
 */
export function translated(texts) {
  /** @type {any} */
  const value = texts;
  if (typeof value === "string") return /** @type {any} */ (say(value));
  if (Array.isArray(value)) return /** @type {any} */ (value.map(translated));
  if (typeof value !== "object" || value === null) return value;
  return /** @type {any} */ (Object.fromEntries(Object.entries(value).map(([name, each]) => [name, translated(each)])));
}
