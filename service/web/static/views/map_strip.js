// The map of the piece above the music: a stroke for each bar, and a frame around the bars that are in view.

import { make } from "../elements/elements.js";
import { barOfRow, mapBars } from "../plan/piece_map.js";
import { words } from "../text/words.js";

/** @import { PartReview, PlanView } from "../api/answers.js" */
/** @import { MapBar } from "../plan/piece_map.js" */

const MANY = 120; // bars from which no gap is left between the strokes
const DEEPEST = 7; // position from which the colour is no deeper

export class MapStrip {
  /** @type {MapBar[]} */
  #bars = [];
  /** @type {Map<number, number>} */
  #barOfRow = new Map();
  #at = 0;
  #strokes = make("div", { class: "map-bars", "aria-hidden": "true" });
  #frame = make("div", { class: "map-frame" });

  /** @param {(row: number) => void} onRow gets the first note of the bar that was chosen */
  constructor(onRow) {
    this.onRow = onRow;
    this.element = make(
      "div",
      {
        class: "map",
        role: "slider",
        tabindex: "0",
        "aria-label": words.map.title,
        "aria-valuemin": 1,
        click: (/** @type {MouseEvent} */ event) => this.#press(event),
        keydown: (/** @type {KeyboardEvent} */ event) => this.#key(event),
      },
      this.#strokes,
      this.#frame,
    );
  }

  /** @param {PlanView} plan @param {PartReview} [review] */
  draw(plan, review) {
    this.#bars = mapBars(plan, review);
    this.#barOfRow = barOfRow(plan);
    this.#strokes.replaceChildren(...this.#bars.map(stroke));
    this.#strokes.classList.toggle("many", this.#bars.length > MANY);
    this.element.setAttribute("aria-valuemax", String(Math.max(this.#bars.length, 1)));
    this.#tell(Math.min(this.#at, Math.max(this.#bars.length - 1, 0)));
  }

  /** Show which notes are in view. @param {number} firstRow @param {number} lastRow */
  setView(firstRow, lastRow) {
    const first = this.#barOfRow.get(firstRow) ?? 0;
    const last = this.#barOfRow.get(lastRow) ?? first;
    const all = Math.max(this.#bars.length, 1);
    this.#frame.style.left = `${(100 * first) / all}%`;
    this.#frame.style.width = `${(100 * (last - first + 1)) / all}%`;
    this.#tell(first);
  }

  /** @param {number} bar */
  #tell(bar) {
    this.#at = bar;
    const shown = this.#bars[bar];
    this.element.setAttribute("aria-valuenow", String(bar + 1));
    this.element.setAttribute("aria-valuetext", shown ? words.map.bar(shown) : "");
  }

  /** @param {number} bar */
  #go(bar) {
    const target = Math.min(Math.max(bar, 0), this.#bars.length - 1);
    const withNotes = this.#bars.slice(target).find(({ row }) => row >= 0);
    if (withNotes) this.onRow(withNotes.row);
    this.#tell(target);
  }

  /** @param {MouseEvent} event */
  #press({ clientX }) {
    const { left, width } = this.element.getBoundingClientRect();
    this.#go(Math.floor(((clientX - left) / width) * this.#bars.length));
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    const page = Math.max(1, Math.round(this.#bars.length / 10));
    /** @type {Record<string, number>} */
    const targets = {
      ArrowRight: this.#at + 1,
      ArrowUp: this.#at + 1,
      ArrowLeft: this.#at - 1,
      ArrowDown: this.#at - 1,
      PageUp: this.#at + page,
      PageDown: this.#at - page,
      Home: 0,
      End: this.#bars.length - 1,
    };
    if (!Object.hasOwn(targets, event.key)) return;
    event.preventDefault();
    this.#go(targets[event.key]);
  }
}

/** @param {MapBar} bar */
function stroke(bar) {
  const element = make("i", { class: bar.isBeyond ? "beyond" : "", title: words.map.bar(bar) });
  element.style.setProperty("--height", `${Math.round(100 - 70 * bar.ease)}%`);
  element.style.setProperty("--depth", String((Math.min(bar.position, DEEPEST) - 1) / (DEEPEST - 1)));
  if (bar.position > 1) element.classList.add("up");
  return element;
}
