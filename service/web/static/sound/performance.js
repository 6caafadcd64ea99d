// What is played, and when: bars in playing order, tempo changes, grace notes, count-in and metronome. Times are seconds
// at the written tempo; the transport plays them slower or faster.

/** @import { PlanView, SoundEvent } from "../api/answers.js" */
/** @import { Tone } from "./tones.js" */
/** @typedef {Tone & { rows: number[] }} PlayedTone a tone with the rows that begin with it */
/** @typedef {{ at: number, isFirst: boolean }} Click a stroke of the metronome; the first of a bar is louder */
/**
 * @typedef {object} Performance
 * @property {PlayedTone[]} tones
 * @property {Click[]} clicks
 * @property {Click[]} countIn clicks before the music, with times from 0
 * @property {number} countInLength
 * @property {number} length
 * @property {{ at: number, tempo: number }[]} tempos in force from a time on, in quarter notes a minute
 * @property {{ at: number, meter: number[] }[]} meters of each bar: beats, and the note value of a beat
 */
/** @typedef {Omit<Performance, "tempos" | "meters">} Playable what the transport needs */
/**
 * @typedef {object} Passage
 * @property {"home" | "plan"} form in first position, or as planned
 * @property {number} first index of a bar
 * @property {number} last index of a bar
 * @property {number} [row] the note to begin with
 * @property {boolean} [hasRepeats]
 */

const GRACE = 0.09; // seconds that a grace note takes from the note before (common practice: short, before the beat)
const WIDEST_SLIDE = 2; // semitones

/** @param {PlanView} plan @param {Passage} passage @returns {Performance} */
export function performance(plan, { form, first, last, row, hasRepeats = false }) {
  const slides = form === "plan" ? slideStarts(plan) : new Map();
  const isInside = (/** @type {number} */ bar) => bar >= first && bar <= last;
  const bars = hasRepeats ? plan.order.filter(isInside) : plan.bars.map((_, bar) => bar).filter(isInside);
  const byBar = Map.groupBy(plan.sounds, ({ measure }) => measure);
  /** @type {PlayedTone[]} */
  const tones = [];
  /** @type {Click[]} */
  const clicks = [];
  /** @type {Performance["tempos"]} */
  const tempos = [];
  /** @type {Performance["meters"]} */
  const meters = [];
  let at = 0;
  let tempo = plan.quarter_tempo;
  /** @type {number | undefined} */
  let firstTempo;
  for (const bar of bars) {
    const clock = new BarClock(plan, bar, byBar.get(bar) ?? [], tempo);
    tones.push(...barTones(plan, form, clock, at, slides));
    clicks.push(...clock.beats.map(({ time, isFirst }) => ({ at: at + time, isFirst })));
    tempos.push(...clock.changes.map(({ time, tempo }) => ({ at: at + time, tempo })));
    meters.push({ at, meter: plan.meters[bar] ?? [4, 4] });
    at += clock.length;
    tempo = clock.tempo;
    firstTempo ??= clock.firstTempo;
  }
  const start = row === undefined ? 0 : (tones.find(({ rows }) => rows.includes(row))?.at ?? 0);
  return {
    tones: later(tones, start),
    clicks: later(clicks, start),
    ...countIn(plan, bars[0] ?? 0, firstTempo ?? plan.quarter_tempo),
    length: Math.max(at - start, 0),
    tempos: later(tempos, start),
    meters: later(meters, start),
  };
}

/**
 * What begins at a time or later, counted from it.
 * @template {{ at: number }} T
 * @param {T[]} things
 * @param {number} start
 */
const later = (things, start) =>
  things.filter(({ at }) => at >= start - 1e-9).map((thing) => ({ ...thing, at: thing.at - start }));

/**
 * When a row sounds in a performance; of several times, as in a repeat, the one nearest to `place`. Null if it does not.
 * @param {Performance} music
 * @param {number} row
 * @param {number} place seconds
 */
export function timeOfRow({ tones }, row, place) {
  const times = tones.filter(({ rows }) => rows.includes(row)).map(({ at }) => at);
  return times.length ? times.reduce((a, b) => (Math.abs(b - place) < Math.abs(a - place) ? b : a)) : null;
}

/** One bar of clicks at the tempo in which the music begins. @param {PlanView} plan @param {number} bar @param {number} tempo */
function countIn(plan, bar, tempo) {
  const [beats, unit] = pulse(plan.meters[bar] ?? [4, 4]);
  const seconds = (unit * 60) / tempo;
  const clicks = Array.from({ length: beats }, (_, beat) => ({ at: beat * seconds, isFirst: beat === 0 }));
  return { countIn: clicks, countInLength: beats * seconds };
}

/** How often a metre is counted, and the quarter notes of each count: 6/8 in two dotted quarters. @param {number[]} meter */
export function pulse([beats, unit]) {
  const isCompound = unit >= 8 && beats > 3 && beats % 3 === 0;
  return isCompound ? [beats / 3, 12 / unit] : [beats, 4 / unit];
}

/** The time within one bar: when an onset comes at the tempo in force there. */
class BarClock {
  /** @type {{ onset: number, time: number, tempo: number }[]} */
  changes;

  /** @param {PlanView} plan @param {number} bar @param {SoundEvent[]} events @param {number} tempo in force before */
  constructor(plan, bar, events, tempo) {
    this.events = events;
    const start = plan.starts[bar] ?? 0;
    const first = events.find((event) => event.tempo > 0)?.tempo ?? tempo;
    this.firstTempo = first;
    this.changes = [{ onset: start, time: 0, tempo: first }];
    for (const event of events) {
      if (event.tempo > 0)
        this.changes.push({ onset: event.onset, time: this.timeOf(event.onset), tempo: event.tempo });
    }
    this.tempo = this.changes[this.changes.length - 1].tempo;
    const sounding = events.map(({ onset, notes }) => onset + Math.max(0, ...notes.map(({ beats }) => beats)));
    this.end = plan.starts[bar + 1] ?? Math.max(start, ...sounding);
    this.length = this.timeOf(this.end);
    this.beats = this.#beats(plan.meters[bar] ?? [4, 4], start);
  }

  /** @param {number} onset quarter notes from the beginning of the part */
  timeOf(onset) {
    const change = this.changes.findLast((one) => one.onset <= onset + 1e-9) ?? this.changes[0];
    return change.time + ((onset - change.onset) * 60) / change.tempo;
  }

  /** The counts of the bar; a short bar, such as a pick-up, has the last ones. @param {number[]} meter @param {number} start */
  #beats(meter, start) {
    const [beats, unit] = pulse(meter);
    const missing = Math.max(beats * unit - (this.end - start), 0);
    return Array.from({ length: beats }, (_, beat) => ({ offset: beat * unit - missing, isFirst: beat === 0 }))
      .filter(({ offset }) => offset >= -1e-9 && start + offset < this.end - 1e-9)
      .map(({ offset, isFirst }) => ({ time: this.timeOf(start + offset), isFirst }));
  }
}

/**
 * @param {PlanView} plan
 * @param {"home" | "plan"} form
 * @param {BarClock} clock
 * @param {number} barTime
 * @param {Map<number | null, number>} slides
 */
function barTones(plan, form, clock, barTime, slides) {
  return clock.events.flatMap((event, index) => {
    const time = barTime + clock.timeOf(event.onset);
    if (!event.grace) return noteTones(plan, form, event, time, slides);
    return graceTones(event, Math.max(0, time - GRACE * gracesFrom(clock.events, index)));
  });
}

/** @param {SoundEvent} event @param {number} at @returns {PlayedTone[]} */
const graceTones = ({ notes }, at) => notes.map(({ midi }) => ({ midi, at, length: GRACE, string: null, rows: [] }));

/**
 * @param {PlanView} plan
 * @param {"home" | "plan"} form
 * @param {SoundEvent} event
 * @param {number} at
 * @param {Map<number | null, number>} slides
 * @returns {PlayedTone[]}
 */
function noteTones(plan, form, { notes, tempo }, at, slides) {
  const rows = notes.flatMap(({ row }) => (row === null ? [] : [row]));
  return notes.map(({ row, midi, beats }) => {
    const stop = row === null ? undefined : plan.plan[row];
    const string = form === "home" ? stop?.home_string : stop?.string;
    const length = (beats * 60) / (tempo || plan.quarter_tempo);
    return { midi, at, length, string, from: slides.get(row), rows };
  });
}

/** How many grace notes there are from one up to the note that they lead to. @param {SoundEvent[]} events @param {number} index */
function gracesFrom(events, index) {
  const end = events.findIndex((event, at) => at > index && !event.grace);
  return (end < 0 ? events.length : end) - index;
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

/**
 * The number in a field, within its limits; an empty field has its lowest.
 * @param {string} text
 * @param {number} min
 * @param {number} max
 */
export const numberWithin = (text, min, max) => Math.min(Math.max(Number(text) || min, min), max);
