// The player along the lower edge: some bars in first position and as planned, looped, slower, with a metronome.

import { button, field, make, select, tickField } from "../elements/elements.js";
import { opensPanel, panel } from "../elements/panel.js";
import { setSign, signButton } from "../elements/signs.js";
import { pitchWord } from "../text/music_words.js";
import { words } from "../text/words.js";
import { numberWithin, performance, timeOfRow } from "./performance.js";
import { playNow } from "./player.js";
import * as transport from "./transport.js";

/** @import { PlanView } from "../api/answers.js" */
/** @import { Passage, Performance } from "./performance.js" */
/** @typedef {"home" | "plan"} Form */

const SINGLE_LENGTH = 2.4; // seconds
const SINGLE_STRING = 2; // its colour of tone
const FIRST_BARS = 4; // bars chosen in a new part

export class ListenBar {
  /** @type {PlanView | null} */
  #plan = null;
  /** @type {number | null} */
  #anchorMidi = null;
  /** @type {Form | null} */
  #playing = null;
  /** @type {Performance | null} */
  #music = null;
  /** @type {Passage | null} */
  #passage = null; // what plays, from the note that sounded last
  /** @type {Passage | null} */
  #kept = null; // what was paused when the plan changed
  #from = make("select", { id: "from-bar" });
  #to = make("select", { id: "to-bar" });
  #faster = select(Object.entries(words.hear.fasters), "0", () => {}, { id: "faster" });
  #tempo = numberField("tempo", 20, 300, 96);
  #a4 = numberField("a4", 392, 466, 440);
  #countIn = tick("count-in", words.hear.countIn, false);
  #click = tick("click", words.hear.click, false);
  #repeats = tick("repeats", words.hear.repeats, true);
  #anchor = button(words.hear.anchor, () => this.#playSingle(this.#anchorMidi), { disabled: true });
  #open = make("select", { id: "open-string", "aria-label": words.hear.open });
  #bars = make("span", { class: "player-bars" });
  #buttons = {
    plan: signButton("play", words.hear.plan, () => this.#toggle("plan"), { id: "play-plan" }),
    home: signButton("play", words.hear.home, () => this.#toggle("home"), { id: "play-home" }),
  };
  #stop = signButton("stop", words.hear.stop, () => this.stop(), {
    word: "hidden",
    class: "plain stop",
    disabled: true,
  });
  #loop = signButton("loop", words.hear.loop, () => this.#setLoop(), { word: "hidden", "aria-pressed": "false" });

  /** @param {(rows: number[]) => void} onNotes gets the rows that sound now; an empty list at the end */
  constructor(onNotes) {
    this.onNotes = onNotes;
    const text = words.hear;
    for (const list of [this.#from, this.#to]) list.addEventListener("change", () => this.#showBars());
    this.element = make(
      "section",
      { class: "player", "aria-label": text.group },
      this.#buttons.plan,
      this.#buttons.home,
      this.#stop,
      this.#loop,
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
          field(text.faster, this.#faster),
        ),
        make("div", { class: "panel-ticks" }, this.#countIn.element, this.#click.element, this.#repeats.element),
        make(
          "div",
          { class: "panel-fields" },
          this.#anchor,
          field(text.a4, this.#a4),
          make(
            "div",
            { class: "pair" },
            button(text.open, () => this.#playOpenString()),
            this.#open,
          ),
        ),
      ]),
    );
    addEventListener("keydown", (event) => event.key === "Escape" && this.isPlaying && this.stop());
  }

  /** Show a plan; the chosen bars, and the place where it was paused, stay unless the part is new. @param {PlanView} plan @param {boolean} isNew */
  setPlan(plan, isNew) {
    const kept = this.#playing && transport.isPaused() ? this.#passage : this.#kept;
    this.stop();
    this.#kept = isNew ? null : kept;
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

  /** Play the chosen bars. @param {Form} form */
  playBars(form) {
    const first = Number(this.#from.value);
    this.#play({ form, first, last: Math.max(first, Number(this.#to.value)) });
  }

  /** Play from a note to the end of the part. @param {number} row @param {number} bar in which it stands @param {Form} [form] */
  playFrom(row, bar, form = "plan") {
    this.#play({ form, first: bar, last: (this.#plan?.bars.length ?? 1) - 1, row });
  }

  get isPlaying() {
    return this.#playing !== null && !transport.isPaused();
  }

  /** Go on from a note while it plays; beyond the bars that play, on to the end of the part. @param {number} row @param {number} bar */
  goOnFrom(row, bar) {
    if (!this.#music || !this.#playing) return;
    const at = timeOfRow(this.#music, row, transport.place());
    if (at === null) return this.playFrom(row, bar, this.#playing);
    transport.seek(at);
    this.onNotes([row]);
  }

  stop() {
    this.#kept = null;
    transport.stop();
    this.#show(null);
    this.onNotes([]);
  }

  /** Start, pause, or go on. @param {Form} form */
  #toggle(form) {
    if (this.#kept?.form === form) return this.#play(this.#kept);
    if (this.#playing !== form) return this.playBars(form);
    if (transport.isPaused()) transport.resume();
    else transport.pause();
    this.#show(form);
  }

  /** @param {Passage} passage */
  async #play(passage) {
    if (!this.#plan) return;
    const hasRepeats = this.#repeats.input.checked;
    const music = performance(this.#plan, { ...passage, hasRepeats });
    if (!music.tones.length) return;
    this.stop();
    this.#music = music;
    this.#passage = passage;
    this.#show(passage.form, true);
    const speed = numberIn(this.#tempo) / this.#plan.quarter_tempo;
    const options = {
      speed,
      a4: numberIn(this.#a4),
      isLooped: this.#loop.getAttribute("aria-pressed") === "true",
      hasCountIn: this.#countIn.input.checked,
      hasClick: this.#click.input.checked,
      faster: Number(this.#faster.value) / 100,
      fastest: Math.max(1, speed),
    };
    await transport.play(music, options, {
      onRows: (rows) => {
        this.#passage = { ...passage, row: rows[0] };
        this.onNotes(rows);
      },
      onSpeed: (now) => {
        this.#tempo.value = String(Math.round(now * (this.#plan?.quarter_tempo ?? 0)));
      },
      onEnd: () => {
        this.#show(null);
        this.onNotes([]);
      },
    });
    if (this.#playing) this.#show(this.#playing);
  }

  /** Show what plays, so that its button pauses it. @param {Form | null} form */
  #show(form, isStarting = false) {
    this.#playing = form;
    this.#stop.disabled = form === null;
    for (const key of /** @type {Form[]} */ (["plan", "home"])) {
      const runs = form === key && (isStarting || !transport.isPaused());
      setSign(this.#buttons[key], runs ? "pause" : "play");
      this.#buttons[key].setAttribute("aria-label", runs ? words.hear.pause(words.hear[key]) : words.hear[key]);
    }
  }

  /** Loop or not; what plays begins anew, so that it can be heard at once. */
  #setLoop() {
    const isLooped = this.#loop.getAttribute("aria-pressed") !== "true";
    this.#loop.setAttribute("aria-pressed", String(isLooped));
    if (this.#playing) this.playBars(this.#playing);
  }

  #playOpenString() {
    this.#playSingle(this.#plan?.open_strings[Number(this.#open.value)].midi ?? null);
  }

  /** @param {number | null} midi */
  #playSingle(midi) {
    if (midi === null) return;
    this.stop();
    playNow({ midi, at: 0, length: SINGLE_LENGTH, string: SINGLE_STRING }, numberIn(this.#a4));
    this.#stop.disabled = false;
  }
}

/** @param {string[]} texts */
const options = (texts) => texts.map((text, index) => make("option", { value: String(index), text }));

/** @param {string} id @param {string} text @param {boolean} checked */
function tick(id, text, checked) {
  /** @type {HTMLInputElement} */
  const input = make("input", { type: "checkbox", id, checked });
  return { input, element: tickField(text, input) };
}

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
