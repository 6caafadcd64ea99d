// Tones and clicks made by the browser's own synthesis (Web Audio API). Nothing is recorded, nothing is fetched.

import { cutoff, frequency, RELEASE, toneTimes } from "./tones.js";

/** @import { Tone } from "./tones.js" */

const VOLUME = 0.3;
const TONE_VOLUME = 0.55;
const BODY = 0.35; // share of the softer second oscillator
const CLICK_LENGTH = 0.04; // seconds
const CLICK = { first: 1600, other: 1100 }; // Hz

/** @type {{ context: AudioContext, analyser: AnalyserNode } | null} */
let audio = null;
/** @type {GainNode | null} */
let output = null;

/** The audio context and an analyser of what sounds; both null before the first tone. */
export const audioNodes = () => audio ?? { context: null, analyser: null };

/** A page may make its audio context only after the player has pressed something. */
export function openAudio() {
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

function openOutput() {
  const { context, analyser } = openAudio();
  if (!output) {
    output = context.createGain();
    output.gain.value = VOLUME;
    output.connect(analyser);
  }
  return { context, destination: output };
}

/** End everything that sounds, within a few milliseconds. */
export function releaseTones() {
  if (!output || !audio) return;
  output.gain.setTargetAtTime(0, audio.context.currentTime, 0.005);
  const ending = output;
  setTimeout(() => ending.disconnect(), 40);
  output = null;
}

/** Play one tone now. @param {Tone} tone @param {number} a4 Hz */
export function playNow(tone, a4) {
  releaseTones();
  playTone(tone, openAudio().context.currentTime + 0.03, a4);
}

/**
 * Play a tone like a bowed string: two oscillators through a filter, which opens with the bow.
 * @param {Tone} tone
 * @param {number} begin time of the audio context, in seconds
 * @param {number} a4 Hz
 */
export function playTone(tone, begin, a4) {
  const { context, destination } = openOutput();
  const { loud, arrive, fade, end } = toneTimes({ ...tone, at: 0 }, begin);
  const filter = context.createBiquadFilter();
  filter.type = "lowpass";
  filter.Q.value = 0.4;
  filter.frequency.setValueAtTime(cutoff(tone.string) / 3, begin);
  filter.frequency.linearRampToValueAtTime(cutoff(tone.string), loud + 0.05);
  const envelope = context.createGain();
  envelope.gain.setValueAtTime(0, begin);
  envelope.gain.linearRampToValueAtTime(TONE_VOLUME, loud);
  envelope.gain.setValueAtTime(TONE_VOLUME, fade);
  envelope.gain.linearRampToValueAtTime(0, end);
  filter.connect(envelope).connect(destination);
  for (const [type, share] of /** @type {[OscillatorType, number][]} */ ([
    ["sawtooth", 1 - BODY],
    ["triangle", BODY],
  ])) {
    const source = context.createOscillator();
    source.type = type;
    source.frequency.setValueAtTime(frequency(tone.from ?? tone.midi, a4), begin);
    if (tone.from !== undefined) source.frequency.exponentialRampToValueAtTime(frequency(tone.midi, a4), arrive);
    const volume = context.createGain();
    volume.gain.value = share;
    source.connect(volume).connect(filter);
    source.start(begin);
    source.stop(end + RELEASE);
  }
}

/** Play a stroke of the metronome. @param {number} begin @param {boolean} isFirst of the bar */
export function playClick(begin, isFirst) {
  const { context, destination } = openOutput();
  const source = context.createOscillator();
  source.frequency.value = isFirst ? CLICK.first : CLICK.other;
  const envelope = context.createGain();
  envelope.gain.setValueAtTime(isFirst ? 0.7 : 0.45, begin);
  envelope.gain.exponentialRampToValueAtTime(0.001, begin + CLICK_LENGTH);
  source.connect(envelope).connect(destination);
  source.start(begin);
  source.stop(begin + CLICK_LENGTH);
}
