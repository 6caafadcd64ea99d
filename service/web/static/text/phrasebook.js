// Texts in a language, from the catalogue that the service sends: with places filled in, and by number.

import { american } from "./american.js";

/** @import { Term } from "./terms.js" */
/** @typedef {{ texts: Record<string, string | string[]>, notes: Record<string, string>, glossary: Term[] }} Catalogue texts by their English, several for the plural forms; names of notes */

/** What says texts in a language; without a catalogue in English. @param {string} language @param {Pick<Catalogue, "texts" | "notes">} catalogue */
export function phrasebook(language, { texts, notes }) {
  const plurals = new Intl.PluralRules(language);
  const list = new Intl.ListFormat(language === "en-US" ? "en-GB" : language);
  const english = (/** @type {string} */ text) => (language === "en-US" ? american(text) : text);

  /**
   * A text with its places filled in.
   * @param {string} text
   * @param {Record<string, string | number>} [fields]
   */
  const say = (text, fields = {}) => filled([texts[text] ?? english(text)].flat()[0], fields);

  /**
   * A text that depends on a number, which is `{n}`.
   * @param {number} number
   * @param {string} one
   * @param {string} many
   * @param {Record<string, string | number>} [fields]
   */
  const count = (number, one, many, fields = {}) => {
    const forms = [texts[one] ?? [english(one), english(many)]].flat();
    const text = plurals.select(number) === "one" ? forms[0] : forms[forms.length - 1];
    return filled(text, { n: number.toLocaleString(language), ...fields });
  };

  /**
   * The same texts in the language; functions say theirs themselves.
   * @template T
   * @param {T} texts
   * @returns {T}
   */
  const translated = (texts) => {
    /** @type {any} */
    const value = texts;
    if (typeof value === "string") return /** @type {any} */ (say(value));
    if (Array.isArray(value)) return /** @type {any} */ (value.map(translated));
    if (typeof value !== "object") return value;
    return /** @type {any} */ (
      Object.fromEntries(Object.entries(value).map(([name, each]) => [name, translated(each)]))
    );
  };

  /** Some things in a row: "A, B and C". @param {string[]} items */
  const allOf = (items) => list.format(items);

  /** The name of a note as the language has it, for a name such as Bb; undefined in English. @param {string} name */
  const translatedNote = (name) => notes[name];

  return { say, count, translated, allOf, translatedNote };
}

/** @param {string} text @param {Record<string, string | number>} fields */
const filled = (text, fields) => text.replace(/\{(\w+)\}/g, (place, name) => String(fields[name] ?? place));
