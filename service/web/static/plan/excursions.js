// Answers about the plan of a part: its stretches, its strings.

/** @import { Excursion, PlanView } from "../api/answers.js" */

/** The names of the open strings by their numbers. @param {PlanView} plan @returns {Record<number, string>} */
export function stringNames(plan) {
  return Object.fromEntries(plan.open_strings.map(({ string, pitch }) => [string, pitch.replace(/\d+$/, "")]));
}

/**
 * The stretch of a plan that shares a note with some rows, or null.
 * @param {PlanView} plan
 * @param {number[]} rows
 */
export function excursionAt(plan, rows) {
  const index = plan.excursions.findIndex((one) => one.rows.some((row) => rows.includes(row)));
  return index < 0 ? null : index;
}

/**
 * The stretch to choose in a new plan: the first one of a new part; otherwise the one where the chosen one was.
 * @param {PlanView} plan
 * @param {boolean} isNew
 * @param {number[]} rows of the stretch that was chosen
 */
export function nextSelection(plan, isNew, rows) {
  if (isNew) return plan.excursions.length ? 0 : null;
  return excursionAt(plan, rows);
}

/** The bars of a stretch by their labels, as the service reads them. @param {PlanView} plan @param {Excursion} excursion */
export function barRange(plan, { measures }) {
  const [first, last] = measures.map((measure) => plan.bars[measure]);
  return first === last ? first : `${first}-${last}`;
}
