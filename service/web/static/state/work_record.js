// A score with what was decided about it, as the browser keeps it.

import { changedOptions, DEFAULTS } from "./option_values.js";
import { changedChoices } from "./sheet_choices.js";

/** @import { Decision } from "./decisions.js" */
/** @import { OptionValues } from "./option_values.js" */
/** @import { Score, Session } from "./session.js" */
/** @import { SheetChoices } from "./sheet_choices.js" */
/**
 * @typedef {object} WorkRecord
 * @property {string} id the same for the same bytes
 * @property {string} title
 * @property {Score} score
 * @property {string} part
 * @property {Partial<OptionValues>} options that differ from their defaults
 * @property {Decision[]} decisions
 * @property {number | null} place row of the note at which the work stopped
 * @property {Partial<SheetChoices>} [sheet] what differs from the whole practice sheet
 * @property {number} changed milliseconds since 1970
 */

const START = "#work=";
const SEEDS = [0x811c9dc5, 0x01000193];
const PRIME = 0x01000193;

/** Ids by the bytes, which nobody changes: every step of the player asks for the id of the same score. @type {WeakMap<Uint8Array, string>} */
const ids = new WeakMap();

/** The id of a score. @param {Uint8Array} bytes */
export function scoreId(bytes) {
  const id = ids.get(bytes) ?? hashed(bytes);
  ids.set(bytes, id);
  return id;
}

/** Two FNV-1a hashes of 32 bits of some bytes, and their length. @param {Uint8Array} bytes */
function hashed(bytes) {
  const hashes = SEEDS.map((seed) => {
    let hash = seed;
    for (const byte of bytes) hash = Math.imul(hash ^ byte, PRIME);
    return (hash >>> 0).toString(16).padStart(8, "0");
  });
  return `${hashes.join("")}${bytes.length.toString(16)}`;
}

/**
 * @param {Session} session
 * @param {number} changed milliseconds since 1970
 * @returns {WorkRecord}
 */
export function workRecord({ score, facts, part, options, decisions, place, sheet }, changed) {
  return {
    id: scoreId(score.data),
    title: facts.title || score.name,
    score,
    part,
    options: changedOptions({ ...DEFAULTS, ...options }),
    decisions,
    place,
    sheet: changedChoices(sheet),
    changed,
  };
}

/** The end of the address while a score is worked on. @param {string} id */
export const workAddress = (id) => `${START}${id}`;

/** The id in the end of an address, or null. @param {string} fragment */
export const workId = (fragment) => (fragment.startsWith(START) ? fragment.slice(START.length) : null);
