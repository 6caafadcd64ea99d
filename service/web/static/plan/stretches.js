// The stretches of a part, as the cards show them: those away from first position, and those where the player stays in first.

import { subject } from "../state/decisions.js";

/** @import { Excursion, PlanView } from "../api/answers.js" */
/** @import { Decision } from "../state/decisions.js" */
/**
 * A stretch with a card. It keeps its place among the others when the player stays in first position instead.
 * @typedef {object} Stretch
 * @property {number[]} rows
 * @property {number | null} index of its excursion in the plan; null if the player stays in first position
 * @property {Excursion | null} excursion
 * @property {Decision | null} decline the decision to stay in first position
 */

/**
 * All stretches in the order of the music.
 * @param {PlanView} plan
 * @param {Decision[]} decisions
 * @returns {Stretch[]}
 */
export function stretchesOf(plan, decisions) {
  const away = plan.excursions.map((excursion, index) => ({ rows: excursion.rows, index, excursion, decline: null }));
  const declined = decisions
    .filter(({ kind, part, rows }) => kind === "decline" && part === plan.part && rows.length > 0)
    .map((decline) => ({ rows: decline.rows, index: null, excursion: null, decline }));
  return [...away, ...declined].sort((a, b) => a.rows[0] - b.rows[0]);
}

/**
 * The stretch to choose: the first one of a new part; otherwise the one where the chosen one was, or null.
 * @param {Stretch[]} stretches
 * @param {boolean} isNew
 * @param {number[]} rows of the stretch that was chosen
 */
export function nextChoice(stretches, isNew, rows) {
  if (isNew) return stretches[0] ?? null;
  const shares = (/** @type {Stretch} */ one) => one.rows.some((row) => rows.includes(row));
  return stretches.find((one) => one.rows[0] === rows[0]) ?? stretches.find(shares) ?? null;
}

/**
 * The stretch some steps away from the chosen one; without one, the first or the last. It ends at both ends.
 * @param {Stretch[]} stretches
 * @param {Stretch | null} chosen
 * @param {number} step
 */
export function neighbour(stretches, chosen, step) {
  const at = chosen === null ? -1 : stretches.indexOf(chosen);
  if (at < 0) return stretches[step > 0 ? 0 : stretches.length - 1] ?? null;
  return stretches[Math.min(Math.max(at + step, 0), stretches.length - 1)];
}

/** The indexes of the first and the last bar of a stretch. @param {PlanView} plan @param {Stretch} stretch */
export function measuresOf(plan, { excursion, rows }) {
  if (excursion) return excursion.measures;
  const bars = [rows[0], rows[rows.length - 1]].map((row) => plan.bars.indexOf(plan.plan[row]?.measure));
  return bars.map((bar) => Math.max(bar, 0));
}

/**
 * The stretches that a filter leaves: those without a decision ("open"), with one ("decided"), or all.
 * @param {Stretch[]} stretches
 * @param {Decision[]} decisions about any part
 * @param {string} part the part with these stretches
 * @param {string} filter
 */
export function filtered(stretches, decisions, part, filter) {
  if (filter === "all") return stretches;
  const ofPart = decisions.filter((one) => one.part === part && subject(one) === "stretch");
  const isDecided = (/** @type {Stretch} */ { rows }) =>
    ofPart.some((one) => one.rows.some((row) => rows.includes(row)));
  return stretches.filter((one) => isDecided(one) === (filter === "decided"));
}
