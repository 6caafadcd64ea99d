// The tones: pitch in equal temperament on A4 (ISO 16: 440 Hz), and the times of attack, slide and release.

/**
 * A note to play, with times in seconds.
 * @typedef {object} Tone
 * @property {number} midi key number of MIDI
 * @property {number} at beginning
 * @property {number} length
 * @property {number | null} [string]
 * @property {number} [from] key number to slide from
 */

const ATTACK = 0.05; // seconds
export const RELEASE = 0.05;
const GAP = 0.02; // silence before the next note
const SHORTEST = 0.06;
const LONGEST_SLIDE = 0.09;
const A4 = 69; // key number
const PLAIN_CUTOFF = 2500;
/** Hz up to which a string's tone reaches: lower strings are darker. @type {Record<number, number>} */
const CUTOFFS = { 1: 4000, 2: 2900, 3: 2200, 4: 1700 };

/** Frequency in Hz of a key number. @param {number} midi @param {number} [a4] */
export const frequency = (midi, a4 = 440) => a4 * 2 ** ((midi - A4) / 12);

/** Cutoff of the filter in Hz. @param {number | null | undefined} string */
export const cutoff = (string) => CUTOFFS[Number(string)] ?? PLAIN_CUTOFF;

/** When a tone begins, is loud, has slid to its pitch, starts to fade and ends. @param {Tone} tone @param {number} start */
export function toneTimes({ at, length }, start) {
  const begin = start + at;
  const end = begin + Math.max(length - GAP, SHORTEST);
  return {
    begin,
    loud: begin + ATTACK,
    arrive: begin + Math.min(LONGEST_SLIDE, length / 3),
    fade: Math.max(begin + ATTACK, end - RELEASE),
    end,
  };
}
