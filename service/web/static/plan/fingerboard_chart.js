// The fingerboard: where every finger falls in a position, with the notes of the bars at hand.

import * as client from "../api/client.js";
import { field, make, picture, select } from "../elements/elements.js";
import { keyWord, positionWord } from "../text/music_words.js";
import { words } from "../text/words.js";
import { fingerboardQuery, KEYS, soundingKeys } from "./fingerboard_query.js";

/** @import { Excursion, PlanView } from "../api/answers.js" */

const HIGHEST = 10;
/** @type {[string, string][]} */
const POSITIONS = Array.from({ length: HIGHEST + 1 }, (_, position) => [String(position), positionWord(position)]);
/** @type {[string, string][]} */
const KEY_CHOICES = KEYS.map((key) => [key, keyWord(key)]);

export class FingerboardChart {
  #query = { position: "3", key: "C", instrument: "violin", language: "en-GB", notes: "" };
  #drawn = ""; // the query whose picture is there or on its way
  #position = select(POSITIONS, "3", (position) => this.#update({ position }), { id: "fingerboard-position" });
  #key = select(KEY_CHOICES, "C", (key) => this.#update({ key }), { id: "fingerboard-key" });
  #holder = make("div", { class: "fingerboard-picture" });
  #link = make("a", { text: words.fingerboard.open, target: "_blank", rel: "noopener" });

  constructor() {
    /** @type {HTMLDetailsElement} */
    this.element = make(
      "details",
      { class: "fingerboard", id: "fingerboard", toggle: () => this.element.open && this.#draw() },
      make("summary", {}, make("h2", { text: words.fingerboard.title })),
      make(
        "div",
        { class: "fingerboard-set" },
        field(words.fingerboard.position, this.#position),
        field(words.fingerboard.key, this.#key),
      ),
      this.#holder,
      make("p", { class: "fine", text: words.fingerboard.caption }),
      this.#link,
    );
  }

  /**
   * Show the position of a stretch, or first position.
   * @param {PlanView} plan
   * @param {Excursion | null} excursion
   * @param {string} language
   */
  setExcursion(plan, excursion, language) {
    const query = fingerboardQuery(plan, excursion);
    this.#position.value = query.position;
    this.#key.value = query.key;
    this.#update({ ...query, language });
  }

  /**
   * Follow the music: mark where the notes that sound lie, in the position in which the hand is.
   * @param {PlanView} plan
   * @param {number[]} rows none at the end of the music
   */
  showSounding(plan, rows) {
    if (!this.element.open) return;
    const position = rows.map((row) => plan.plan[row]?.position ?? null).find((one) => one !== null) ?? null;
    if (position !== null && position <= HIGHEST && String(position) !== this.#position.value) {
      this.#position.value = String(position);
      this.#update({ position: String(position) });
    }
    const keys = soundingKeys(plan, rows);
    for (const place of this.#holder.querySelectorAll("[data-note]")) {
      place.classList.toggle("sounding", keys.includes(/** @type {SVGElement} */ (place).dataset.note ?? ""));
    }
  }

  open() {
    this.element.open = true;
    this.#draw();
    this.element.scrollIntoView({ block: "nearest" });
  }

  /** @param {Record<string, string>} change */
  #update(change) {
    Object.assign(this.#query, change);
    this.#link.href = client.chartAddress(this.#query);
    if (this.element.open) this.#draw();
  }

  async #draw() {
    const query = JSON.stringify(this.#query);
    if (this.#drawn === query) return;
    this.#drawn = query;
    const text = await client.chart(this.#query);
    if (this.#drawn === query) this.#holder.replaceChildren(picture(text));
  }
}
