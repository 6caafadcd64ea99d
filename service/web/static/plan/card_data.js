// What the cards say, apart from how they look.

import { barList } from "../text/bar_list.js";
import { words } from "../text/words.js";

/** @import { Alternative, Anchor, Figures, PartReview } from "../api/answers.js" */

const FIGURES = /** @type {(keyof Figures)[]} */ (Object.keys(words.cards.figureNames));

/**
 * The figures that are not 0 both in first position and as planned.
 * @param {Figures} before
 * @param {Figures} after
 */
export function figureRows(before, after) {
  return FIGURES.filter((name) => before[name] || after[name]).map((name) => ({
    name: words.cards.figureNames[name],
    before: before[name],
    after: after[name],
    isBetter: after[name] < before[name],
  }));
}

/** How to find each position by ear: the first anchor of each, so that the ear has one thing to do. @param {Anchor[]} anchors */
export function anchorTexts(anchors) {
  if (!anchors.some(({ how }) => how)) return [];
  return anchors
    .filter(({ position }, index) => anchors.findIndex((other) => other.position === position) === index)
    .map(({ how }) => how ?? "");
}

/** What to say when the hand stays in first position; nothing before the review is there. @param {PartReview} [review] */
export function emptyText(review) {
  if (!review) return "";
  const all = review.difficulty.bars.map(({ measure }) => measure);
  const bars = barList(all, review.beyond_measures);
  return review.counts.unreachable ? words.cards.noneButUnreached(bars) : words.cards.none;
}

/**
 * What is left for the player to decide, beyond the level or within it.
 * @param {PartReview | undefined} review
 * @param {boolean} beyond
 */
export const choiceTexts = (review, beyond) =>
  review?.choices.filter((choice) => choice.beyond_level === beyond).map(({ text }) => text) ?? [];

/** The other ways that are worth a try. @param {Alternative[]} alternatives */
export const nearWays = (alternatives) => alternatives.filter(({ near }) => near);
