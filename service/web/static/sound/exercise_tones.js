// The tones of an exercise of the practice sheet, with a drone, a click, and a pause to answer.

/** @import { Tone } from "./tones.js" */
/**
 * @typedef {object} ExerciseSound
 * @property {number} tempo quarter notes a minute
 * @property {number} beat a beat in quarter notes
 * @property {number} length in quarter notes
 * @property {number} drone key number of MIDI
 * @property {[number, number, number, number | null][]} notes begin and length in quarter notes, key number, string
 */
/**
 * @typedef {object} Listening
 * @property {number} pace 1 is the tempo of the exercise
 * @property {boolean} drone
 * @property {boolean} click
 * @property {boolean} answer a pause as long as the exercise follows it
 */

const CLICK = 96; // key number: high above the music
const CLICK_LENGTH = 0.06; // seconds
const COUNT_IN = 2; // beats

/** What to play. @param {ExerciseSound} sound @param {Listening} listening @returns {Tone[]} */
export function exerciseTones(sound, { pace, drone, click, answer }) {
  const quarter = 60 / (sound.tempo * pace);
  const lead = click ? COUNT_IN * sound.beat : 0;
  const end = lead + sound.length * (answer ? 2 : 1);
  /** @type {Tone[]} */
  const tones = sound.notes.map(([at, length, midi, string]) => ({
    midi,
    at: (lead + at) * quarter,
    length: length * quarter,
    string,
  }));
  if (click) {
    for (let at = 0; at < end; at += sound.beat) tones.push({ midi: CLICK, at: at * quarter, length: CLICK_LENGTH });
  }
  if (drone) tones.push({ midi: sound.drone, at: lead * quarter, length: (end - lead) * quarter, string: 4 });
  return tones;
}

/** Seconds until the exercise begins again. @param {ExerciseSound} sound @param {Listening} listening */
export function roundLength(sound, { pace, click, answer }) {
  const beats = (click ? COUNT_IN * sound.beat : 0) + sound.length * (answer ? 2 : 1);
  return (beats * 60) / (sound.tempo * pace);
}
