// The listening bar: some bars in first position and as planned, the anchor note, an open string.

import { button, field, make } from "../elements/elements.js";
import { opensPanel, panel } from "../elements/panel.js";
import { signButton } from "../elements/signs.js";
import { pitchWord } from "../text/music_words.js";
import { words } from "../text/words.js";
import { numberWithin, passageNotes, rowsWith } from "./passage_notes.js";
import { isPlaying, play, stop } from "./player.js";

/** @import { PlanView } from "../api/answers.js" */

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

  #bars = make("span", { class: "player-bars" });

  /** @param {(rows: number[]) => void} onNotes gets the rows that sound now; an empty list at the end */
  constructor(onNotes) {
    this.onNotes = onNotes;
    const text = words.hear;
    for (const list of [this.#from, this.#to]) list.addEventListener("change", () => this.#showBars());
    this.element = make(
      "section",
      { class: "player", "aria-label": text.group },
      signButton("play", text.plan, () => this.playPlan(), { id: "play-plan", word: "spare" }),
      signButton("play", text.home, () => this.playBars("home"), { id: "play-home" }),
      signButton("stop", text.stop, () => this.stop(), { word: "hidden" }),
      this.#bars,
      make("span", { class: "player-space" }),
      signButton("options", text.more, null, { word: "hidden", id: "sound-button", ...opensPanel("sound") }),
      panel("sound", text.more, "below", [
        make(
          "div",
          { class: "panel-fields" },
          field(text.from, this.#from),
          field(text.to, this.#to),
          field(text.tempo, this.#tempo),
          field(text.a4, this.#a4),
        ),
        make("div", { class: "panel-row" }, this.#anchor),
        make(
          "div",
          { class: "panel-row" },
          button(text.open, () => this.#playOpenString()),
          this.#open,
        ),
      ]),
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
    this.setStretch(null, null);
  }

  /** Choose the bars of a stretch, and the note to tune it by. @param {number[] | null} measures @param {number | null} anchorMidi */
  setStretch(measures, anchorMidi) {
    this.#anchorMidi = anchorMidi;
    this.#anchor.disabled = anchorMidi === null;
    if (measures) [this.#from.value, this.#to.value] = measures.map(String);
    this.#showBars();
  }

  #showBars() {
    const [from, to] = [this.#from, this.#to].map(({ value }) => this.#plan?.bars[Number(value)] ?? "");
    this.#bars.textContent = words.hear.bars(from, to);
  }

  playPlan() {
    this.playBars("plan");
  }

  stop() {
    stop();
    this.onNotes([]);
  }

  /** @param {"home" | "plan"} form */
  playBars(form) {
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
