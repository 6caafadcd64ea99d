// The player's decisions about stretches and notes, and the pins that carry them to the service.

import { capitalize } from "../text/sentences.js";
import { words } from "../text/words.js";

/** @import { Alternative, Excursion, PlanRow } from "../api/answers.js" */
/** @typedef {{ finger?: number, string?: number, position?: number }} Wish */
/**
 * @typedef {object} Decision
 * @property {"note" | "keep" | "decline" | "choose" | "remark"} kind
 * @property {string} part
 * @property {number[]} rows rows of the plan that it is about
 * @property {string[]} pins what the service is asked for, without the part
 * @property {string} label
 * @property {string} [bars] of a stretch, as its card names them
 * @property {string} [text] of a remark
 * @property {Wish} [wish] for a note: what the player chose
 */

/**
 * Keep a stretch exactly as planned.
 * @param {string} part
 * @param {Excursion} excursion
 * @returns {Decision}
 */
export function keepDecision(part, { bars, positions, rows, pins }) {
  return {
    kind: "keep",
    part,
    rows,
    pins,
    bars,
    label: words.decisions.keep(capitalize(bars), words.cards.to(positions)),
  };
}

/**
 * Stay in first position instead of a stretch.
 * @param {string} part
 * @param {Excursion} excursion
 * @returns {Decision}
 */
export function declineDecision(part, { bars, rows }) {
  const pins = rows.map((row) => `n${row}:position=1`);
  return { kind: "decline", part, rows, pins, bars, label: words.decisions.decline(capitalize(bars)) };
}

/**
 * Play a stretch in another way that the review offers.
 * @param {string} part
 * @param {Excursion} excursion
 * @param {Alternative} alternative
 * @returns {Decision}
 */
export function chooseDecision(part, { bars, rows }, alternative) {
  const pins = alternative.pins.map((pin) => pin.replace(/^[^@]*@/, ""));
  return { kind: "choose", part, rows, pins, bars, label: words.decisions.choose(capitalize(bars), alternative.label) };
}

/**
 * Play a note with a finger, on a string, in a position.
 * @param {string} part
 * @param {number} row
 * @param {PlanRow} note
 * @param {Wish} wish
 * @param {Record<number, string>} strings
 * @returns {Decision}
 */
export function noteDecision(part, row, note, wish, strings) {
  const values = Object.entries(wish).map(([name, value]) => `${name}=${value}`);
  const title = words.note.title(note.pitch, note.place);
  const label = words.decisions.note(title, words.note.what(wish, strings));
  return { kind: "note", part, rows: [row], pins: [`n${row}:${values.join(",")}`], wish, label };
}

/**
 * A remark at a note; it is drawn and shared, and asks the plan for nothing.
 * @param {string} part
 * @param {number} row
 * @param {PlanRow} note
 * @param {string} text
 * @returns {Decision}
 */
export function remarkDecision(part, row, note, text) {
  const label = words.decisions.note(words.note.title(note.pitch, note.place), text);
  return { kind: "remark", part, rows: [row], pins: [], text, label };
}

/**
 * The decisions with a new one in the place of earlier ones about the same notes. A decision about a note replaces
 * only decisions about notes, a remark only remarks, and a decision about a stretch only those about stretches.
 * @param {Decision[]} decisions
 * @param {Decision} decision
 */
export function replaceDecision(decisions, decision) {
  const isReplaced = (/** @type {Decision} */ other) =>
    other.part === decision.part &&
    subject(other) === subject(decision) &&
    other.rows.some((row) => decision.rows.includes(row));
  return [...decisions.filter((other) => !isReplaced(other)), decision];
}

/** What a decision is about: a note, a remark or a stretch. @param {Decision} decision */
export const subject = ({ kind }) => (kind === "note" || kind === "remark" ? kind : "stretch");

/**
 * The remark at a note of a part.
 * @param {Decision[]} decisions
 * @param {string} part
 * @param {number} row
 */
export function remarkAt(decisions, part, row) {
  return decisions.find((one) => one.part === part && one.kind === "remark" && one.rows[0] === row);
}

/** All remarks of a part, by their rows. @param {Decision[]} decisions @param {string} part @returns {Record<string, string>} */
export function remarksOf(decisions, part) {
  const remarks = decisions.filter((one) => one.part === part && one.kind === "remark");
  return Object.fromEntries(remarks.map(({ rows, text }) => [rows[0], text ?? ""]));
}

/**
 * The decision about a note of a part.
 * @param {Decision[]} decisions
 * @param {string} part
 * @param {number} row
 */
export function noteDecisionAt(decisions, part, row) {
  return decisions.find((one) => one.part === part && one.kind === "note" && one.rows[0] === row);
}

/**
 * The decision to keep a stretch of a part.
 * @param {Decision[]} decisions
 * @param {string} part
 * @param {number[]} rows
 */
export function keepDecisionFor(decisions, part, rows) {
  return decisions.find(
    (one) => one.part === part && one.kind === "keep" && one.rows[0] === rows[0] && one.rows.length === rows.length,
  );
}

/** The pins of all decisions, each with its part. @param {Decision[]} decisions */
export const pinsOf = (decisions) => decisions.flatMap(({ part, pins }) => pins.map((pin) => `${part}@${pin}`));
