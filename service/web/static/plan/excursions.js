// Answers about the plan of a part: its strings, its bars.

import { pitchWord } from "../text/music_words.js";

/** @import { PlanView } from "../api/answers.js" */

/** The names of the open strings by their numbers. @param {PlanView} plan @returns {Record<number, string>} */
export function stringNames(plan) {
  return Object.fromEntries(plan.open_strings.map(({ string, pitch }) => [string, pitchWord(pitch)]));
}

/** Some bars by their labels, as the service reads them. @param {PlanView} plan @param {number[]} measures indexes of the first and the last bar */
export function barLabels(plan, measures) {
  const [first, last] = measures.map((measure) => plan.bars[measure]);
  return first === last ? first : `${first}-${last}`;
}
