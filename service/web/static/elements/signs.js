// The small drawings on buttons, each on a field of 24 by 24.

import { make, makeSvg } from "./elements.js";

/** @import { Attributes } from "./elements.js" */

/** Paths by name; those in `SOLID` are filled. */
const SIGNS = {
  back: "M14.5 5.5 8 12l6.5 6.5",
  next: "M9.5 5.5 16 12l-6.5 6.5",
  up: "M5.5 14.5 12 8l6.5 6.5",
  undo: "M8.5 5 4.5 9l4 4M5 9h8.5a5.5 5.5 0 0 1 0 11H9",
  redo: "M15.5 5l4 4-4 4M19 9h-8.5a5.5 5.5 0 0 0 0 11H15",
  options:
    "M4 7h9M17 7h3M4 17h3M11 17h9M15 4.8a2.2 2.2 0 1 1 0 4.4 2.2 2.2 0 0 1 0-4.4zM9 14.8a2.2 2.2 0 1 1 0 4.4 2.2 2.2 0 0 1 0-4.4z",
  share: "M12 15V4M8 7.5 12 3.5l4 4M6 11.5H5V20h14v-8.5h-1",
  print: "M7 9V4h10v5M7 17H4V9h16v8h-3M7 14h10v6H7z",
  play: "M8 5.5v13l11-6.5z",
  pause: "M7.5 5.5h3v13h-3zM13.5 5.5h3v13h-3z",
  stop: "M7 7h10v10H7z",
  loop: "M17 3.5 20 6.5l-3 3M4 11.5v-1a4 4 0 0 1 4-4h12M7 20.5l-3-3 3-3M20 12.5v1a4 4 0 0 1-4 4H4",
  smaller: "M5 12h14",
  larger: "M5 12h14M12 5v14",
  close: "M6 6l12 12M18 6 6 18",
};
/** @typedef {keyof typeof SIGNS} SignName */
/** @type {SignName[]} */
const SOLID = ["play", "pause", "stop"];

/** @param {SignName} name */
export function sign(name) {
  const path = makeSvg("path", { d: SIGNS[name], class: SOLID.includes(name) ? "solid" : "" });
  return makeSvg("svg", { viewBox: "0 0 24 24", "aria-hidden": "true" }, path);
}

/**
 * Make a button with a drawing and a word. A `spare` word gives way where there is little room, a `hidden` one is only
 * read aloud and shown as a hint.
 * @param {SignName} name
 * @param {string} text
 * @param {(() => unknown) | null} action
 * @param {Attributes & { word?: "shown" | "spare" | "hidden" }} [attributes]
 */
export function signButton(name, text, action, { word = "shown", class: kind = "plain", ...attributes } = {}) {
  const classes = { shown: "button-word", spare: "button-word spare", hidden: "hidden-words" };
  return make(
    "button",
    {
      type: "button",
      class: `sign ${kind}`,
      title: word === "shown" ? null : text,
      click: action ? () => action() : null,
      ...attributes,
    },
    sign(name),
    make("span", { class: classes[word], text }),
  );
}

/** Change the drawing on a button. @param {HTMLElement} holder @param {SignName} name */
export function setSign(holder, name) {
  holder.querySelector("svg")?.replaceWith(sign(name));
}
