// What stands beside the music, or comes from below on a small screen: the line that leads from stretch to stretch, the
// cards, and the fingerboard.

import { field, make, select } from "../elements/elements.js";
import { signButton } from "../elements/signs.js";
import { swipe } from "../elements/swipe.js";
import { drawCards } from "../plan/card_list.js";
import { FingerboardChart } from "../plan/fingerboard_chart.js";
import { filtered, neighbour } from "../plan/stretches.js";
import { session } from "../state/session.js";
import { capitalize } from "../text/sentences.js";
import { words } from "../text/words.js";

/** @import { PartReview } from "../api/answers.js" */
/** @import { Stretch } from "../plan/stretches.js" */
/**
 * @typedef {object} SheetActions
 * @property {(stretch: Stretch | null) => void} select
 * @property {(stretch: Stretch) => void} compare
 * @property {() => void} listen
 */

const MANY = 8; // stretches from which they can be filtered

export class CardSheet {
  fingerboard = new FingerboardChart();
  /** @type {Stretch[]} */
  #stretches = [];
  /** @type {Stretch | null} */
  #chosen = null;
  #cards = make("div", { class: "card-column" });
  #filter = "all";
  #filterField = field(
    words.cards.filter,
    select(Object.entries(words.cards.filters), "all", (filter) => this.#setFilter(filter), { id: "card-filter" }),
  );
  /** @type {Stretch[]} */
  #all = [];
  /** @type {PartReview | undefined} */
  #review;
  #place = make("span", { class: "away-place" });
  #bars = make("span", { class: "away-bars" });
  #back = signButton("back", words.cards.back, () => this.step(-1), { word: "hidden" });
  #next = signButton("next", words.cards.next, () => this.step(1), { word: "hidden" });
  #toggle = signButton("up", words.cards.open, () => this.#expand(!this.#isExpanded), {
    word: "hidden",
    class: "plain sheet-toggle",
    "aria-expanded": "false",
  });

  /** @param {SheetActions} actions */
  constructor(actions) {
    this.actions = actions;
    const title = make("h2", { class: "away-title", id: "cards-title", text: words.cards.title });
    const line = make("div", { class: "away" }, title, this.#bars, this.#place, this.#back, this.#next, this.#toggle);
    this.element = make(
      "aside",
      { class: "margin", "aria-labelledby": "cards-title", tabindex: "0" },
      line,
      this.#filterField,
      this.#cards,
      this.fingerboard.element,
    );
    followSwipes(this.element, (direction) => this.#swiped(direction));
  }

  /**
   * @param {Stretch[]} all
   * @param {Stretch | null} chosen
   * @param {PartReview | undefined} review
   */
  draw(all, chosen, review) {
    this.#all = all;
    this.#review = review;
    const stretches = filtered(all, session.decisions, session.part, this.#filter);
    this.#filterField.hidden = all.length < MANY;
    this.#stretches = stretches;
    this.#chosen = chosen;
    const at = chosen === null ? -1 : stretches.indexOf(chosen);
    this.#place.textContent = stretches.length ? words.cards.place(at + 1, stretches.length) : "";
    this.#bars.textContent = capitalize(chosen?.excursion?.bars ?? chosen?.decline?.bars ?? "");
    this.#back.disabled = stretches.length === 0 || at === 0;
    this.#next.disabled = stretches.length === 0 || at === stretches.length - 1;
    drawCards(this.#cards, stretches, review, chosen, { ...this.actions, fingerboard: () => this.fingerboard.open() });
  }

  /** @param {string} filter */
  #setFilter(filter) {
    this.#filter = filter;
    this.draw(this.#all, this.#chosen, this.#review);
  }

  /** Bring the open card into view. */
  reveal() {
    this.#cards.querySelector(".card.open")?.scrollIntoView({ block: "nearest" });
  }

  /** Choose the next stretch, or the one before. @param {number} direction */
  step(direction) {
    const stretch = neighbour(this.#stretches, this.#chosen, direction);
    if (stretch && stretch !== this.#chosen) this.actions.select(stretch);
  }

  get #isExpanded() {
    return this.element.classList.contains("expanded");
  }

  /** @param {boolean} isExpanded */
  #expand(isExpanded) {
    this.element.classList.toggle("expanded", isExpanded);
    const text = isExpanded ? words.cards.shut : words.cards.open;
    this.#toggle.setAttribute("aria-expanded", String(isExpanded));
    this.#toggle.title = text;
    this.#toggle.lastElementChild?.replaceChildren(text);
    if (!isExpanded) this.element.scrollTop = 0;
  }

  /** @param {import("../elements/swipe.js").Swipe} direction */
  #swiped(direction) {
    if (direction === "next") this.step(1);
    else if (direction === "back") this.step(-1);
    else if (direction === "up" && !this.#isExpanded) this.#expand(true);
    else if (direction === "down" && this.element.scrollTop === 0) this.#expand(false);
  }
}

/** Report the strokes of a finger over an element. @param {HTMLElement} element @param {(swipe: import("../elements/swipe.js").Swipe) => void} onSwipe */
function followSwipes(element, onSwipe) {
  /** @type {Touch | null} */
  let start = null;
  element.addEventListener(
    "touchstart",
    ({ touches }) => {
      start = touches.length === 1 ? touches[0] : null;
    },
    { passive: true },
  );
  element.addEventListener("touchend", ({ changedTouches: [end] }) => {
    if (start) onSwipe(swipe(end.clientX - start.clientX, end.clientY - start.clientY));
    start = null;
  });
}
