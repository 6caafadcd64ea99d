// The listening bar: the bars at hand in first position and as planned, the anchor note, an open string.

import { button, make } from "/page/dom.js";
import { pitchWord, words } from "/page/words.js";
import { isPlaying, play, stop } from "/page/sound.js";

const LENGTH = 1.6; // seconds a single note sounds

export class HearBar {
  /** `sounding(rows)` is told which notes sound; an empty list at the end. */
  constructor({ sounding }) {
    this.sounding = sounding;
    this.plan = null;
    const say = words.hear;
    this.from = make("select", { id: "from-bar" });
    this.to = make("select", { id: "to-bar" });
    this.tempo = number("tempo", 20, 300, 96);
    this.a4 = number("a4", 392, 466, 440);
    this.anchor = button(say.anchor, () => this.#single(this.anchorMidi), { disabled: true });
    this.open = make("select", { id: "open-string", "aria-label": say.open });
    this.element = make(
      "section",
      { class: "hear", "aria-label": say.group },
      make("div", { class: "hear-bars" }, field(say.from, this.from), field(say.to, this.to)),
      make(
        "div",
        { class: "hear-keys" },
        button(say.home, () => this.#music("home"), { class: "hear-home" }),
        button(say.plan, () => this.#music("plan"), { class: "hear-plan" }),
        this.anchor,
        button(say.open, () => this.#single(this.plan.open_strings[Number(this.open.value)].midi)),
        this.open,
        button(say.stop, () => this.stop(), { class: "hear-stop" }),
      ),
      make("div", { class: "hear-set" }, field(say.tempo, this.tempo), field(say.a4, this.a4)),
    );
    addEventListener("keydown", (event) => event.key === "Escape" && isPlaying() && this.stop());
  }

  /** Take a new plan; the bars chosen stay chosen. */
  take(plan, isNew) {
    this.stop();
    this.plan = plan;
    const [from, to] = [this.from.value, this.to.value];
    for (const select of [this.from, this.to]) {
      select.replaceChildren(...plan.bars.map((label, index) => make("option", { value: String(index), text: label })));
    }
    this.from.value = isNew || from === "" ? "0" : from;
    this.to.value = isNew || to === "" ? String(Math.min(3, plan.bars.length - 1)) : to;
    this.open.replaceChildren(...plan.open_strings.map(({ pitch }, index) => make("option", { value: String(index), text: pitchWord(pitch) })));
    if (isNew) this.tempo.value = String(Math.round(plan.quarter_tempo));
    this.choose(null);
  }

  /** Make the bars of a stretch the bars at hand. */
  choose(excursion) {
    this.anchorMidi = excursion?.anchor_midi ?? null;
    this.anchor.disabled = this.anchorMidi === null;
    if (!excursion) return;
    this.from.value = String(excursion.measures[0]);
    this.to.value = String(excursion.measures[1]);
  }

  /** Labels of the bars at hand, first and last. */
  get bars() {
    return [this.plan.bars[Number(this.from.value)], this.plan.bars[Math.max(Number(this.from.value), Number(this.to.value))]];
  }

  playPlan() {
    this.#music("plan");
  }

  stop() {
    stop();
    this.sounding([]);
  }

  #music(form) {
    const [from, to] = [Number(this.from.value), Math.max(Number(this.from.value), Number(this.to.value))];
    const beat = 60 / value(this.tempo);
    const events = this.plan.sounds.filter((event) => event.measure >= from && event.measure <= to && !event.grace);
    const zero = events[0]?.onset ?? 0;
    const slides = form === "plan" ? this.#slides() : new Map();
    const notes = events.flatMap((event) =>
      event.notes.map(({ row, midi, beats }) => {
        const string = this.plan.plan[row]?.[form === "home" ? "home_string" : "string"];
        return { row, midi, at: (event.onset - zero) * beat, length: beats * beat, string, from: slides.get(row) };
      }),
    );
    if (!notes.length) return;
    const rowsAt = (at) => notes.filter((note) => note.at === at && note.row !== null).map(({ row }) => row);
    play(notes, value(this.a4), { step: (index) => this.sounding(rowsAt(notes[index].at)), ended: () => this.sounding([]) });
  }

  /** Rows reached by a shift under a slur: the pitch slides there a little, from the note before. */
  #slides() {
    const arrivals = new Set(this.plan.excursions.flatMap(({ arrivals: all }) => all.flatMap(({ rows }) => rows)));
    const found = new Map();
    this.plan.sounds.forEach((event, index) => {
      const before = this.plan.sounds[index - 1];
      for (const { row, midi } of event.notes) {
        if (event.slurred && arrivals.has(row) && before) found.set(row, midi + Math.max(-2, Math.min(2, before.notes[0].midi - midi)));
      }
    });
    return found;
  }

  #single(midi) {
    if (midi !== null) play([{ midi, at: 0, length: LENGTH, string: 2 }], value(this.a4));
  }
}

function number(id, min, max, start) {
  return make("input", { type: "number", id, min, max, step: 1, value: String(start) });
}

const value = (input) => Math.min(Math.max(Number(input.value) || Number(input.defaultValue) || Number(input.min), Number(input.min)), Number(input.max));
const field = (label, input) => make("label", { class: "field" }, make("span", { text: label }), input);
