// A fingering hand: what a player, a teacher or a house minds more or less than usual, as scales around 1.
// As an option it is a text such as `shifts=0.7,tone=1.4`; `handframe learn` writes it as a small TOML file.

import { OPTIONS } from "./option_data.js";

/** @typedef {Record<string, number>} Scales by name; a scale that is not named is 1 */

export const STANDARD = OPTIONS.hand.default;

/** The scales of an option's text. @param {string} text @returns {Scales} */
export function readHand(text) {
  if (text === STANDARD) return {};
  const pairs = text.split(",").map((pair) => pair.split("="));
  return Object.fromEntries(pairs.map(([name, number]) => [name, Number(number)]));
}

/** The option's text of some scales. @param {Scales} scales */
export function handText(scales) {
  const changed = Object.entries(scales).filter(([, scale]) => scale !== 1);
  return changed.map(([name, scale]) => `${name}=${scale}`).join(",") || STANDARD;
}

/**
 * The scales of a file that `handframe learn` wrote; null if it is none.
 * The service checks names and limits when it plans.
 * @param {string} text
 */
export function readHandFile(text) {
  const lines = text.split(/\r?\n/).map((line) => line.replace(/#.*/, "").trim());
  const [head, ...rest] = lines.filter((line) => line !== "");
  if (head !== "[hand]") return null;
  /** @type {Scales} */
  const scales = {};
  for (const line of rest) {
    const found = /^(\w+)\s*=\s*(\d+(?:\.\d+)?)$/.exec(line);
    if (!found) return null;
    scales[found[1]] = Number(found[2]);
  }
  return new RegExp(OPTIONS.hand.pattern).test(handText(scales)) ? scales : null;
}
