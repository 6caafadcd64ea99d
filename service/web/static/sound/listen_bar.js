// The listening bar: some bars in first position and as planned, the anchor note, an open string.

import { button, field, make } from "../elements/elements.js";
import { pitchWord } from "../text/music_words.js";
import { words } from "../text/words.js";
import { numberWithin, passageNotes, rowsWith } from "./passage_notes.js";
import { isPlaying, play, stop } from "./player.js";

/** @import { Excursion, PlanView } from "../api/answers.js" */

const SINGLE_LENGTH = 1.6; // seconds
const SINGLE_STRING = 2; // its colour of tone
const FIRST_BARS = 4; // bars chosen in a new part

export class ListenBar {
  /** @type {PlanView | null} */
  #plan = null;
  /** @type {number | null} */
  #anchorMidi = null;
  #from = make("select", { id: "from-bar" });
  #to = make("select", { id: "to-bar" });
  #tempo = numberField("tempo", 20, 300, 96);
  #a4 = numberField("a4", 392, 466, 440);
  #anchor = button(words.hear.anchor, () => this.#playSingle(this.#anchorMidi), { disabled: true });
  #open = make("select", { id: "open-string", "aria-label": words.hear.open });

  /** @param {(rows: number[]) => void} onNotes gets the rows that sound now; an empty list at the end */
  constructor(onNotes) {
    this.onNotes = onNotes;
    const text = words.hear;
    this.element = make(
      "section",
      { class: "hear", "aria-label": text.group },
      make("div", { class: "hear-bars" }, field(text.from, this.#from), field(text.to, this.#to)),
      make(
        "div",
        { class: "hear-keys" },
        button(text.home, () => this.#playBars("home"), { class: "hear-home" }),
        button(text.plan, () => this.playPlan(), { class: "hear-plan" }),
        this.#anchor,
        button(text.open, () => this.#playOpenString()),
        this.#open,
        button(text.stop, () => this.stop(), { class: "hear-stop" }),
      ),
      make("div", { class: "hear-set" }, field(text.tempo, this.#tempo), field(text.a4, this.#a4)),
    );
    addEventListener("keydown", (event) => event.key === "Escape" && isPlaying() && this.stop());
  }

  /** Show a plan; the chosen bars stay unless the part is new. @param {PlanView} plan @param {boolean} isNew */
  setPlan(plan, isNew) {
    this.stop();
    this.#plan = plan;
    const [from, to] = [this.#from.value, this.#to.value];
    for (const list of [this.#from, this.#to]) list.replaceChildren(...options(plan.bars));
    this.#from.value = isNew || from === "" ? "0" : from;
    this.#to.value = isNew || to === "" ? String(Math.min(FIRST_BARS, plan.bars.length) - 1) : to;
    this.#open.replaceChildren(...options(plan.open_strings.map(({ pitch }) => pitchWord(pitch))));
    if (isNew) this.#tempo.value = String(Math.round(plan.quarter_tempo));
    this.setExcursion(null);
  }

  /** Choose the bars of a stretch. @param {Excursion | null} excursion */
  setExcursion(excursion) {
    this.#anchorMidi = excursion?.anchor_midi ?? null;
    this.#anchor.disabled = this.#anchorMidi === null;
    if (!excursion) return;
    this.#from.value = String(excursion.measures[0]);
    this.#to.value = String(excursion.measures[1]);
  }

  playPlan() {
    this.#playBars("plan");
  }

  stop() {
    stop();
    this.onNotes([]);
  }

  /** @param {"home" | "plan"} form */
  #playBars(form) {
    if (!this.#plan) return;
    const from = Number(this.#from.value);
    const to = Math.max(from, Number(this.#to.value));
    const notes = passageNotes(this.#plan, form, from, to, numberIn(this.#tempo));
    if (!notes.length) return;
    play(notes, numberIn(this.#a4), {
      onNote: (index) => this.onNotes(rowsWith(notes, index)),
      onEnd: () => this.onNotes([]),
    });
  }

  #playOpenString() {
    this.#playSingle(this.#plan?.open_strings[Number(this.#open.value)].midi ?? null);
  }

  /** @param {number | null} midi */
  #playSingle(midi) {
    if (midi === null) return;
    play([{ midi, at: 0, length: SINGLE_LENGTH, string: SINGLE_STRING }], numberIn(this.#a4));
  }
}

/** @param {string[]} texts */
const options = (texts) => texts.map((text, index) => make("option", { value: String(index), text }));

/**
 * @param {string} id
 * @param {number} min
 * @param {number} max
 * @param {number} value
 */
function numberField(id, min, max, value) {
  return make("input", { type: "number", id, min, max, step: 1, value: String(value) });
}

/** @param {HTMLInputElement} input */
const numberIn = (input) => numberWithin(input.value, Number(input.min), Number(input.max));
