// The views that ask for one thing of a list before the work begins: a part of a score, a tune of a collection.

import { button, make } from "../elements/elements.js";
import { words } from "../text/words.js";

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

/**
 * @param {HTMLElement} holder
 * @param {{ title: string, lead: string }} texts
 * @param {HTMLElement[]} items of the list
 * @param {() => void} onBack
 */
function showChoice(holder, { title, lead }, items, onBack) {
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
