// The player: tones made by the browser's own synthesis (Web Audio API). Nothing is recorded, nothing is fetched.

import { cutoff, frequency, RELEASE, toneTimes, totalLength } from "./tones.js";

/** @import { Tone } from "./tones.js" */

const DELAY = 0.06; // seconds from the call to the first tone
const VOLUME = 0.32;
const TONE_VOLUME = 0.6;

/** @type {{ context: AudioContext, analyser: AnalyserNode } | null} */
let audio = null;
/** @type {GainNode | null} */
let output = null;
/** @type {ReturnType<typeof setTimeout>[] | null} */
let timers = null;

/** The audio context and an analyser of what sounds; both null before the first tone. */
export const audioNodes = () => audio ?? { context: null, analyser: null };

/** A page may make its audio context only after the player has pressed something. */
function openAudio() {
  if (!audio) {
    const context = new AudioContext();
    const analyser = context.createAnalyser();
    analyser.fftSize = 32768;
    analyser.connect(context.destination);
    audio = { context, analyser };
  }
  audio.context.resume();
  return audio;
}

/**
 * Play tones; `onNote(index)` is called as each begins, `onEnd()` at the end, but not after `stop`.
 * @param {Tone[]} tones
 * @param {number} a4 Hz
 * @param {{ onNote?: (index: number) => void, onEnd?: () => void }} [handlers]
 */
export function play(tones, a4, { onNote = () => {}, onEnd = () => {} } = {}) {
  stop();
  const { context, analyser } = openAudio();
  output = context.createGain();
  output.gain.value = VOLUME;
  output.connect(analyser);
  const start = context.currentTime + DELAY;
  for (const tone of tones) schedule(context, output, tone, start, a4);
  timers = tones.map(({ at }, index) => setTimeout(() => onNote(index), (at + DELAY) * 1000));
  const end = () => {
    stop();
    onEnd();
  };
  timers.push(setTimeout(end, (totalLength(tones) + DELAY + RELEASE) * 1000));
}

/** Stop at once. */
export function stop() {
  for (const timer of timers ?? []) clearTimeout(timer);
  timers = null;
  if (!output || !audio) return;
  output.gain.setValueAtTime(0, audio.context.currentTime);
  output.disconnect();
  output = null;
}

export const isPlaying = () => timers !== null;

/**
 * @param {AudioContext} context
 * @param {AudioNode} destination
 * @param {Tone} tone
 * @param {number} start
 * @param {number} a4
 */
function schedule(context, destination, tone, start, a4) {
  const { begin, loud, arrive, fade, end } = toneTimes(tone, start);
  const source = context.createOscillator();
  source.type = "sawtooth";
  source.frequency.setValueAtTime(frequency(tone.from ?? tone.midi, a4), begin);
  if (tone.from !== undefined) source.frequency.exponentialRampToValueAtTime(frequency(tone.midi, a4), arrive);
  const filter = context.createBiquadFilter();
  filter.type = "lowpass";
  filter.frequency.value = cutoff(tone.string);
  const envelope = context.createGain();
  envelope.gain.setValueAtTime(0, begin);
  envelope.gain.linearRampToValueAtTime(TONE_VOLUME, loud);
  envelope.gain.setValueAtTime(TONE_VOLUME, fade);
  envelope.gain.linearRampToValueAtTime(0, end);
  source.connect(filter).connect(envelope).connect(destination);
  source.start(begin);
  source.stop(end);
}
