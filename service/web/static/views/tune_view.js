// The view that asks which tune of a collection to plan.

import { button, make } from "../elements/elements.js";
import { words } from "../text/words.js";
import { showChoice } from "./choice_view.js";

/** @import { Facts } from "../api/answers.js" */

/**
 * Ask for a tune, in the order of the file.
 * @param {HTMLElement} holder
 * @param {Facts["tunes"]} tunes
 * @param {(number: string) => void} onTune
 * @param {() => void} onBack
 */
export function showTunes(holder, tunes, onTune, onBack) {
  const items = tunes.map(({ number, title }) =>
    make(
      "li",
      {},
      button(words.tunes.name(number, title), () => onTune(number), { class: "piece-button" }),
    ),
  );
  showChoice(holder, { title: words.tunes.title, lead: words.tunes.lead(tunes.length) }, items, onBack);
}
