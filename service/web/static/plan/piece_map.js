// The piece at a glance: what is known of every bar, and what to say at the top about the whole part.

import { barList } from "../text/bar_list.js";

/** @import { Facts, PartReview, PlanView } from "../api/answers.js" */
/**
 * @typedef {object} MapBar
 * @property {string} label
 * @property {number} position the highest of its notes; 1 if it has none
 * @property {number} ease from 0 (the hardest bar of the part) to 1
 * @property {boolean} isBeyond it has a note that the level does not reach
 * @property {number} row its first note; -1 if it has none
 */

/**
 * What the map shows of each bar.
 * @param {PlanView} plan
 * @param {PartReview} [review] without it every bar is as easy as another
 * @returns {MapBar[]}
 */
export function mapBars(plan, review) {
  const rows = rowsByBar(plan);
  const efforts = plan.bars.map((_, bar) => review?.difficulty.bars[bar]?.per_second ?? 0);
  const most = Math.max(...efforts, 0);
  const beyond = new Set(review?.beyond_measures ?? []);
  return plan.bars.map((label, bar) => ({
    label,
    position: Math.max(1, ...rows[bar].map((row) => plan.plan[row]?.position ?? 1)),
    ease: most ? 1 - efforts[bar] / most : 1,
    isBeyond: beyond.has(label),
    row: rows[bar].length ? Math.min(...rows[bar]) : -1,
  }));
}

/** The rows of the plan in each bar. @param {PlanView} plan @returns {number[][]} */
function rowsByBar(plan) {
  /** @type {number[][]} */
  const found = plan.bars.map(() => []);
  for (const { measure, notes } of plan.sounds) {
    for (const { row } of notes) if (row !== null) found[measure]?.push(row);
  }
  return found;
}

/** The bar of each row. @param {PlanView} plan @returns {Map<number, number>} */
export function barOfRow(plan) {
  return new Map(rowsByBar(plan).flatMap((rows, bar) => rows.map((row) => /** @type {const} */ ([row, bar]))));
}

/**
 * What the player has to know before the first note.
 * @typedef {{ kind: "beyond", notes: number, bars: string, level: string } | { kind: "unplayable", bars: string }
 *   | { kind: "drawn", signs: string[] } | { kind: "instrument", name: string, instrument: string }} Notice
 */

/**
 * @param {PlanView} plan
 * @param {PartReview} review
 * @param {Facts} facts
 * @returns {Notice[]}
 */
export function notices(plan, review, facts) {
  /** @type {Notice[]} */
  const found = [];
  const part = facts.parts.find(({ id }) => id === plan.part);
  if (part && part.instrument === null)
    found.push({ kind: "instrument", name: part.name, instrument: plan.instrument });
  if (plan.drawn.length) found.push({ kind: "drawn", signs: plan.drawn });
  const { level, unplayable_measures: unplayable } = review.level_needed;
  if (unplayable.length) found.push({ kind: "unplayable", bars: barList(plan.bars, unplayable) });
  const notes = review.counts.unreachable;
  const measures = review.beyond_measures;
  if (measures.length) found.push({ kind: "beyond", notes, bars: barList(plan.bars, measures), level });
  return found;
}
