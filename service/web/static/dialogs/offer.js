// The dialogs "Save or print" and "Share": offers, one below the other.

import { openDialog } from "../elements/dialog.js";
import { button, make } from "../elements/elements.js";
import { words } from "../text/words.js";

/** @import { Child } from "../elements/elements.js" */

/** Open a dialog with a title and a button that closes it. @param {string} title @param {Child[]} content */
export function openOffers(title, content) {
  const close = button(words.save.close, () => dialog.close(), { class: "slip-close" });
  const dialog = openDialog({ class: "slip", "aria-labelledby": "slip-title" }, [
    make("h2", { id: "slip-title", text: title }),
    ...content,
    make("div", { class: "slip-acts" }, close),
  ]);
  return dialog;
}

/**
 * A button and a line that says what it does.
 * @param {string} title
 * @param {string} text
 * @param {() => unknown} action
 * @param {string} [kind]
 */
export function offer(title, text, action, kind = "") {
  return make("div", { class: "offer" }, button(title, action, { class: kind }), make("p", { class: "fine", text }));
}
