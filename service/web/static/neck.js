// The neck: where every finger falls in a position, with the notes of the bars at hand.

import { choice, make, picture } from "/page/dom.js";
import { positionWord, words } from "/page/words.js";
import * as service from "/page/service.js";

const HIGHEST = 10;
const KEYS = ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"];
const keyOf = (fifths) => KEYS[fifths + 7];

export class Neck {
  constructor() {
    this.query = { position: "3", key: "C", instrument: "violin", language: "en", notes: "" };
    this.position = choice(words.neck.position, Array.from({ length: HIGHEST + 1 }, (_, p) => [String(p), positionWord(p)]), "3", (p) => this.#set({ position: p }), { id: "neck-position" });
    this.key = choice(words.neck.key, KEYS.map((key) => [key, key.replace("#", "♯").replace("b", "♭")]), "C", (key) => this.#set({ key }), { id: "neck-key" });
    this.holder = make("div", { class: "neck-picture" });
    this.link = make("a", { text: words.neck.open, target: "_blank", rel: "noopener" });
    this.element = make(
      "details",
      { class: "neck", id: "neck", toggle: () => this.element.open && this.#draw() },
      make("summary", {}, make("h2", { text: words.neck.title })),
      make("div", { class: "neck-set" }, this.position, this.key),
      this.holder,
      make("p", { class: "fine", text: words.neck.caption }),
      this.link,
    );
  }

  /** Show the position of a stretch, its notes ringed; null shows first position in the key of the part. */
  take(plan, excursion, language) {
    const position = String(excursion?.positions[0] ?? 1);
    const key = keyOf(excursion?.fifths ?? plan.fifths[0] ?? 0);
    const rows = excursion ? excursion.rows.map((row) => plan.plan[row]).filter(({ string }) => string !== null) : [];
    const notes = [...new Set(rows.map(({ string, pitch }) => `${string}:${pitch}`))].join(",");
    this.position.querySelector("select").value = position;
    this.key.querySelector("select").value = key;
    this.#set({ position, key, notes, language, instrument: plan.instrument });
  }

  show() {
    this.element.open = true;
    this.#draw();
    this.element.scrollIntoView({ block: "nearest" });
  }

  #set(changed) {
    Object.assign(this.query, changed);
    this.link.href = `/chart.svg?${new URLSearchParams(this.query)}`;
    if (this.element.open) this.#draw();
  }

  async #draw() {
    const asked = JSON.stringify(this.query);
    if (this.shown === asked) return;
    this.shown = asked;
    const text = await service.chart(this.query);
    if (this.shown === asked) this.holder.replaceChildren(picture(text));
  }
}
