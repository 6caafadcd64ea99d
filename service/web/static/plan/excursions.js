// Answers about the plan of a part: its stretches, its strings.

/** @import { PlanView } from "../api/answers.js" */

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

/** Some bars by their labels, as the service reads them. @param {PlanView} plan @param {number[]} measures indexes of the first and the last bar */
export function barLabels(plan, measures) {
  const [first, last] = measures.map((measure) => plan.bars[measure]);
  return first === last ? first : `${first}-${last}`;
}
