// Text whose terms tell their meaning: when they are pointed at, and in a note when they are tapped or chosen by key.

import { glossary } from "../text/language.js";
import { inPieces } from "../text/terms.js";
import { make } from "./elements.js";

const GAP = 6; // pixels between a term and its note

/** A text as nodes, with its terms marked. @param {string} text */
export const explained = (text) =>
  inPieces(text, glossary).map(({ text, meaning }) => (meaning === null ? text : term(text, meaning)));

/** @param {string} name @param {string} meaning */
function term(name, meaning) {
  const show = (/** @type {Event} */ { currentTarget }) =>
    showNote(/** @type {HTMLElement} */ (currentTarget), meaning);
  return make("dfn", {
    class: "term",
    tabindex: "0",
    title: meaning,
    text: name,
    click: show,
    keydown: (/** @type {KeyboardEvent} */ event) => event.key === "Enter" && show(event),
  });
}

/** Show what a term means, below it and within the window. @param {HTMLElement} element @param {string} meaning */
function showNote(element, meaning) {
  document.getElementById("term-note")?.remove();
  const note = make("div", { id: "term-note", class: "term-note", popover: "auto", role: "note", text: meaning });
  document.body.append(note);
  note.showPopover();
  const { left, bottom } = element.getBoundingClientRect();
  const last = { left: innerWidth - note.offsetWidth - GAP, top: innerHeight - note.offsetHeight - GAP };
  note.style.left = `${Math.max(Math.min(left, last.left), GAP)}px`;
  note.style.top = `${Math.min(bottom + GAP, last.top)}px`;
}
