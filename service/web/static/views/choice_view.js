// A view that asks for one thing of a list before the work begins.

import { button, make } from "../elements/elements.js";
import { words } from "../text/words.js";

/**
 * @param {HTMLElement} holder
 * @param {{ title: string, lead: string }} texts
 * @param {HTMLElement[]} items of the list
 * @param {() => void} onBack
 */
export function showChoice(holder, { title, lead }, items, onBack) {
  holder.replaceChildren(
    make(
      "div",
      { class: "entrance narrow" },
      make("h2", { text: title }),
      make("p", { text: lead }),
      make("ul", { class: "pieces" }, items),
      button(words.parts.back, onBack),
    ),
  );
}
