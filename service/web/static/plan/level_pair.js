// Which two levels to set side by side, and what the second one gains.

/** @import { PartReview } from "../api/answers.js" */

/**
 * The present level with the one before it; the first two if there is none before it.
 * @param {string[]} levels from the narrowest
 * @param {string} present
 */
export function levelPair(levels, present) {
  const at = Math.max(levels.indexOf(present), 1);
  return [levels[at - 1], levels[at]];
}

/** The proposals of the second review that the first does not have. @param {PartReview} left @param {PartReview} right */
export function gains(left, right) {
  const known = new Set(left.proposals.map(({ summary }) => summary));
  return right.proposals.filter(({ summary }) => !known.has(summary));
}
