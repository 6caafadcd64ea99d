// The ways to take a note, in words: how it is played, and what that costs nearby.

import { words } from "../text/words.js";

/** @import { Figures, NoteChoice, PlanRow } from "../api/answers.js" */
/** @import { Wish } from "../state/decisions.js" */

const FIGURES = /** @type {(keyof Figures)[]} */ (Object.keys(words.note.more));

/** Return whether a note is played in this way now. @param {NoteChoice} choice @param {PlanRow} row */
export function isPresent(choice, row) {
  return (
    choice.string === row.string &&
    choice.finger === row.finger &&
    (choice.position === null || choice.position === row.position)
  );
}

/** What a choice asks for; an open string says nothing about the hand. @param {NoteChoice} choice @returns {Wish} */
export const wishFrom = ({ finger, string, position }) =>
  position === null ? { finger, string } : { finger, string, position };

/** What a choice changes nearby, in words. @param {NoteChoice} choice */
export function costText({ before, after, changed, within_level: isWithin }) {
  if (!isWithin) return "";
  const differences = FIGURES.flatMap((name) => {
    const change = after[name] - before[name];
    if (!change) return [];
    return [(change > 0 ? words.note.more : words.note.fewer)[name](Math.abs(change))];
  });
  const others = changed ? [words.note.others(changed)] : [];
  return [...differences, ...others].join(", ") || words.note.nothing;
}
