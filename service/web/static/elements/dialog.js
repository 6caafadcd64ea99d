// Dialogs over the page.

import { byId, make } from "./elements.js";

/** @import { Attributes, Child } from "./elements.js" */

/**
 * Open a dialog; it leaves the page when it is closed.
 * @param {Attributes} attributes
 * @param {(Child | Child[])[]} content
 * @param {() => void} [onClose]
 */
export function openDialog(attributes, content, onClose = () => {}) {
  const dialog = make("dialog", attributes, ...content);
  dialog.addEventListener("close", () => {
    dialog.remove();
    onClose();
  });
  byId("sheets").append(dialog);
  dialog.showModal();
  return dialog;
}
