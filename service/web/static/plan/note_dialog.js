// The dialog about one note: its finger, its string, the position in which it is played.

import { openDialog } from "../elements/dialog.js";
import { button, make } from "../elements/elements.js";
import { noteDecision, noteDecisionAt, wishOf } from "../state/decisions.js";
import { addDecision, removeDecision, session } from "../state/session.js";
import { fingerWord, positionWord, stringNumeral } from "../text/music_words.js";
import { words } from "../text/words.js";

/** @import { PlanView } from "../api/answers.js" */
/** @import { Wish } from "../state/decisions.js" */
/** @typedef {[value: number | undefined, text: string, name: string]} Choice */

const HIGHEST_POSITION = 9;

/**
 * @param {PlanView} plan
 * @param {number} row
 * @param {Record<number, string>} strings names of the open strings
 * @param {() => void} onClose
 */
export function openNoteDialog(plan, row, strings, onClose) {
  const note = plan.plan[row];
  const text = words.note;
  const earlier = noteDecisionAt(session.decisions, session.part, row);
  /** @type {Wish} */
  const choice = { ...earlier?.wish };
  const clear = () => {
    if (earlier) removeDecision(earlier);
    dialog.close();
  };
  const decide = () => {
    const wish = wishOf(choice);
    if (!Object.keys(wish).length) return clear();
    addDecision(noteDecision(session.part, row, note, wish, strings));
    dialog.close();
  };
  const content = [
    make("h2", { id: "note-title", text: text.title(note.pitch, note.measure, note.beat) }),
    make("p", { text: text.now(words.score.how(note, strings)) }),
    radioGroup("finger", text.finger, fingerChoices(), choice),
    radioGroup("string", text.string, stringChoices(strings), choice),
    radioGroup("position", text.position, positionChoices(), choice),
    make(
      "div",
      { class: "slip-acts" },
      button(text.set, decide, { class: "main" }),
      earlier ? button(text.clear, clear) : null,
      button(text.close, () => dialog.close()),
    ),
  ];
  const dialog = openDialog({ class: "slip note-slip", "aria-labelledby": "note-title" }, content, onClose);
}

/** @returns {Choice[]} */
const fingerChoices = () =>
  [0, 1, 2, 3, 4].map((finger) => [finger, finger === 0 ? words.note.open : String(finger), fingerWord(finger)]);

/** @param {Record<number, string>} strings @returns {Choice[]} */
const stringChoices = (strings) =>
  Object.entries(strings).map(([string, name]) => [
    Number(string),
    stringNumeral(Number(string)),
    words.note.stringName(name),
  ]);

/** @returns {Choice[]} */
const positionChoices = () =>
  Array.from({ length: HIGHEST_POSITION + 1 }, (_, position) => [
    position,
    position === 0 ? "½" : String(position),
    positionWord(position),
  ]);

/**
 * Radio buttons that write into `wish`; the first leaves the value free.
 * @param {keyof Wish} name
 * @param {string} title
 * @param {Choice[]} choices
 * @param {Wish} wish
 */
function radioGroup(name, title, choices, wish) {
  const group = make("fieldset", { class: "picks" }, make("legend", { text: title }));
  /** @type {Choice} */
  const free = [undefined, words.note.free, words.note.free];
  for (const [value, text, label] of [free, ...choices]) {
    const choose = () => {
      wish[name] = value;
    };
    const checked = wish[name] === value;
    const input = make("input", { type: "radio", name, checked, "aria-label": label, change: choose });
    group.append(make("label", {}, input, make("span", { text })));
  }
  return group;
}
