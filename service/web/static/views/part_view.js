// The view that asks which part of a score to plan.

import { button, make } from "../elements/elements.js";
import { words } from "../text/words.js";
import { showChoice } from "./choice_view.js";

/** @import { Facts, ScorePart } from "../api/answers.js" */

/**
 * Ask for a part; those for the instrument come first.
 * @param {HTMLElement} holder
 * @param {Facts} facts
 * @param {(part: string) => void} onPart
 * @param {() => void} onBack
 */
export function showParts(holder, facts, onPart, onBack) {
  const isSuited = (/** @type {ScorePart} */ part) => facts.suited.includes(part.id);
  const parts = [...facts.parts.filter(isSuited), ...facts.parts.filter((part) => !isSuited(part))];
  const items = parts.map((part) => {
    const kind = isSuited(part) ? "piece-button suited" : "piece-button";
    const text = part.instrument ? words.parts.notes(part.notes) : words.parts.neither;
    return make(
      "li",
      {},
      button(part.name, () => onPart(part.id), { class: kind }),
      make("span", { text }),
    );
  });
  showChoice(holder, { title: words.parts.title, lead: words.parts.lead(facts.title) }, items, onBack);
}
