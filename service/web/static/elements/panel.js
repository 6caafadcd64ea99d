// Panels that a button opens; a press elsewhere or the escape key closes them.

import { words } from "../text/words.js";
import { make } from "./elements.js";
import { signButton } from "./signs.js";

/** @import { Attributes, Child } from "./elements.js" */

/**
 * Make a panel; `panelButton` with the same id opens it.
 * @param {string} id
 * @param {string} title
 * @param {"top" | "below"} side where it comes from
 * @param {(Child | Child[])[]} content
 */
export function panel(id, title, side, content) {
  const close = signButton("close", words.panel.close(title), () => element.hidePopover(), { word: "hidden" });
  const element = make(
    "section",
    { id, popover: "auto", class: `panel panel-from-${side}`, "aria-labelledby": `${id}-title` },
    make("div", { class: "panel-head" }, make("h2", { id: `${id}-title`, text: title }), close),
    ...content,
  );
  return element;
}

/** The attributes of a button that opens a panel. @param {string} id @returns {Attributes} */
export const opensPanel = (id) => ({ popovertarget: id, "aria-haspopup": "dialog" });
