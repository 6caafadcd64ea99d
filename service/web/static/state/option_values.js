// The values of the options: defaults, what differs from them, and what may be typed.

import { OPTIONS } from "./option_data.js";

/** @typedef {keyof typeof OPTIONS} OptionName */
/** @typedef {"level" | "positions" | "fingers" | "language" | "character" | "printed" | "tempo" | "range_lines"} PageOption */
/** @typedef {Record<PageOption, string | boolean>} OptionValues */

/**
 * The options that the page keeps; part, instrument and decisions have places of their own in the session.
 * @type {PageOption[]}
 */
const PAGE_OPTIONS = ["level", "positions", "fingers", "language", "character", "printed", "tempo", "range_lines"];

export const DEFAULTS = /** @type {OptionValues} */ (
  Object.fromEntries(PAGE_OPTIONS.map((name) => [name, OPTIONS[name].default]))
);

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
  const names = OPTIONS.level.choices;
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
