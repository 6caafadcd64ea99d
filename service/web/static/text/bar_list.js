// Several bars in few words.

/** @import { PlanView } from "../api/answers.js" */

/**
 * Some bars by their labels, neighbours as a range: "5-8, 12".
 * @param {string[]} bars all labels in order
 * @param {string[]} some labels
 */
export function barList(bars, some) {
  const wanted = new Set(some);
  /** @type {string[][]} */
  const ranges = [];
  bars.forEach((label, at) => {
    if (!wanted.has(label)) return;
    if (at > 0 && wanted.has(bars[at - 1])) ranges[ranges.length - 1][1] = label;
    else ranges.push([label, label]);
  });
  return ranges.map(([first, last]) => (first === last ? first : `${first}-${last}`)).join(", ");
}

/** Some bars by their labels, as the service reads them. @param {PlanView} plan @param {number[]} measures indexes of the first and the last bar */
export function barLabels(plan, measures) {
  const [first, last] = measures.map((measure) => plan.bars[measure]);
  return first === last ? first : `${first}-${last}`;
}
