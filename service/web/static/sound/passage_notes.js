// What to play: the notes of some bars with their times, on the strings of either form.

/** @import { PlanView, SoundEvent } from "../api/answers.js" */
/** @import { Tone } from "./tones.js" */
/** @typedef {Tone & { row: number | null }} PassageNote */

const WIDEST_SLIDE = 2; // semitones

/**
 * The notes from one bar to another; grace notes are left out.
 * @param {PlanView} plan
 * @param {"home" | "plan"} form in first position, or as planned
 * @param {number} first index of a bar
 * @param {number} last index of a bar
 * @param {number} tempo quarter notes a minute
 * @returns {PassageNote[]}
 */
export function passageNotes(plan, form, first, last, tempo) {
  const beat = 60 / tempo;
  const events = plan.sounds.filter((event) => event.measure >= first && event.measure <= last && !event.grace);
  const start = events[0]?.onset ?? 0;
  const slides = form === "plan" ? slideStarts(plan) : new Map();
  return events.flatMap((event) =>
    event.notes.map(({ row, midi, beats }) => {
      const stop = row === null ? undefined : plan.plan[row];
      const string = form === "home" ? stop?.home_string : stop?.string;
      return { row, midi, at: (event.onset - start) * beat, length: beats * beat, string, from: slides.get(row) };
    }),
  );
}

/**
 * Where a shift under a slur is heard: for each row that it reaches, the key number from which the pitch slides, in the
 * direction of the note before.
 * @param {PlanView} plan
 * @returns {Map<number | null, number>}
 */
export function slideStarts(plan) {
  const arrivals = new Set(plan.excursions.flatMap((excursion) => excursion.arrivals.flatMap(({ rows }) => rows)));
  /** @type {Map<number | null, number>} */
  const starts = new Map();
  plan.sounds.forEach((event, index) => {
    const before = plan.sounds[index - 1];
    if (!event.slurred || !before) return;
    for (const { row, midi } of event.notes) {
      if (row !== null && arrivals.has(row)) starts.set(row, midi + slide(before, midi));
    }
  });
  return starts;
}

/** @param {SoundEvent} before @param {number} midi */
const slide = (before, midi) => Math.max(-WIDEST_SLIDE, Math.min(WIDEST_SLIDE, before.notes[0].midi - midi));

/** The rows that begin together with a note. @param {PassageNote[]} notes @param {number} index */
export function rowsWith(notes, index) {
  return notes.flatMap(({ at, row }) => (at === notes[index].at && row !== null ? [row] : []));
}

/**
 * The number in a field, within its limits; an empty field has its lowest.
 * @param {string} text
 * @param {number} min
 * @param {number} max
 */
export const numberWithin = (text, min, max) => Math.min(Math.max(Number(text) || min, min), max);
