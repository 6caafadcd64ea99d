// Hearing an exercise: its tempo, a drone, a click, again and again, and a pause to answer.

import { button, field, make, tickField } from "../elements/elements.js";
import { exerciseTones, roundLength } from "../sound/exercise_tones.js";
import { numberWithin } from "../sound/performance.js";
import * as transport from "../sound/transport.js";
import { words } from "../text/words.js";

/** @import { ExerciseSound } from "../sound/exercise_tones.js" */

const PLAIN = { speed: 1, a4: 440, hasCountIn: false, hasClick: false, faster: 0, fastest: 1 };
const SLOWEST = 30; // per cent
const FASTEST = 200;

export class ExercisePlayer {
  #pace = make("input", { type: "number", min: SLOWEST, max: FASTEST, step: 5, value: "100" });
  #loop = tick();
  #drone = tick();
  #click = tick();
  #answer = tick();
  #onEnd = () => {};

  constructor() {
    const text = words.practice.hear;
    this.element = make(
      "div",
      { class: "practice-hear", role: "group", "aria-label": text.group },
      field(text.pace, this.#pace),
      tickField(text.loop, this.#loop),
      tickField(text.drone, this.#drone),
      tickField(text.click, this.#click),
      tickField(text.answer, this.#answer),
      button(text.stop, () => this.stop()),
    );
  }

  /** Play an exercise; with loop, again and again. @param {ExerciseSound} sound @param {() => void} onEnd ended or stopped */
  play(sound, onEnd) {
    this.stop();
    this.#onEnd = onEnd;
    const listening = {
      pace: numberWithin(this.#pace.value, SLOWEST, FASTEST) / 100,
      drone: this.#drone.checked,
      click: this.#click.checked,
      answer: this.#answer.checked,
    };
    const tones = exerciseTones(sound, listening).map((tone) => ({ ...tone, rows: [] }));
    const music = { tones, clicks: [], countIn: [], countInLength: 0, length: roundLength(sound, listening) };
    transport.play(music, { ...PLAIN, isLooped: this.#loop.checked }, { onEnd: () => this.#ended() });
  }

  stop() {
    transport.stop();
    this.#ended();
  }

  #ended() {
    const ended = this.#onEnd;
    this.#onEnd = () => {};
    ended();
  }
}

const tick = () => make("input", { type: "checkbox" });
