// The values of the options: defaults, what differs from them, and what may be typed.

import { say } from "../text/language.js";
import { OPTIONS } from "./option_data.js";

/** @typedef {"level" | "positions" | "fingers" | "mark_language" | "character" | "printed" | "tempo" | "range_lines" | "hand"} PageOption */
/** @typedef {Record<PageOption, string | boolean>} OptionValues */

/** The options with their labels in the language of the page. */
export const CONTROLS = /** @type {typeof OPTIONS} */ (
  Object.fromEntries(Object.entries(OPTIONS).map(([name, option]) => [name, inWords(option)]))
);

/** @param {{ label: string, help: string, choices?: Record<string, string> }} option */
function inWords(option) {
  const choices = Object.entries(option.choices ?? {}).map(([value, label]) => [value, say(label)]);
  const more = choices.length ? { choices: Object.fromEntries(choices) } : {};
  return { ...option, label: say(option.label), help: say(option.help), ...more };
}

/**
 * The options that the page keeps; part, instrument and decisions have places of their own in the session.
 * @type {PageOption[]}
 */
const PAGE_OPTIONS = [
  "level",
  "positions",
  "fingers",
  "mark_language",
  "character",
  "hand",
  "printed",
  "tempo",
  "range_lines",
];

export const DEFAULTS = /** @type {OptionValues} */ (
  Object.fromEntries(PAGE_OPTIONS.map((name) => [name, OPTIONS[name].default]))
);

/**
 * The options of earlier work; the language was that of the position words before the page had a language of its own.
 * @param {Record<string, unknown>} options
 */
export function presentOptions({ language, ...options }) {
  const earlier = language === undefined ? {} : { mark_language: language };
  return /** @type {Partial<OptionValues>} */ ({ ...earlier, ...options });
}

/** The options that differ from their defaults. @param {OptionValues} options */
export function changedOptions(options) {
  return /** @type {Partial<OptionValues>} */ (
    Object.fromEntries(
      Object.entries(options).filter(([name, value]) => value !== DEFAULTS[/** @type {PageOption} */ (name)]),
    )
  );
}

/** A level as the page names it. @param {string} level */
export function levelName(level) {
  /** @type {Record<string, string>} */
  const names = CONTROLS.level.choices;
  return names[level] ?? level;
}

/** The options that a request names: nothing typed and not ticked are left out. @param {OptionValues} options */
export function setOptions(options) {
  return Object.fromEntries(Object.entries(options).filter(([, value]) => value !== "" && value !== false));
}

/**
 * Return whether the service takes what is typed for an option; nothing typed is its default.
 * @param {{ pattern?: string, minimum?: number, maximum?: number }} option
 * @param {string} text
 */
export function isAccepted({ pattern, minimum = -Infinity, maximum = Infinity }, text) {
  if (text === "") return true;
  if (pattern) return new RegExp(pattern).test(text);
  return /^\d+(\.\d+)?$/.test(text) && Number(text) >= minimum && Number(text) <= maximum;
}
