// A performance as a standard MIDI file (Standard MIDI Files 1.0, MIDI Manufacturers Association): one track, with tempo
// and metre, so that programs that show bars show the bars of the music.

/** @import { Performance } from "./performance.js" */
/** @typedef {{ tick: number, rank: number, bytes: number[] }} MidiEvent events at one tick follow each other by rank */

const QUARTER = 480; // ticks
const FIRST_TEMPO = 120; // quarter notes a minute where none is named
const PROGRAMS = { violin: 40, viola: 41 }; // General MIDI, counted from 0
const LOUDNESS = 80;
const RANK = { about: 0, off: 1, on: 2, end: 3 };

/**
 * The file of a performance. Shifts are not heard in it: every tone has its written pitch from its beginning.
 * @param {Performance} music
 * @param {string} title
 * @param {string} instrument
 */
export function midiFile({ tones, tempos, meters, length }, title, instrument) {
  const tickOf = ticker(tempos);
  const program = PROGRAMS[/** @type {keyof typeof PROGRAMS} */ (instrument)] ?? PROGRAMS.violin;
  /** @type {MidiEvent[]} */
  const events = [
    { tick: 0, rank: RANK.about, bytes: meta(0x03, [...new TextEncoder().encode(title)]) },
    { tick: 0, rank: RANK.about, bytes: [0xc0, program] },
    ...changes(meters).map(({ at, meter: [beats, unit] }) => ({
      tick: tickOf(at),
      rank: RANK.about,
      bytes: meta(0x58, [beats, Math.log2(unit), 24, 8]),
    })),
    ...changes(tempos).map(({ at, tempo }) => ({
      tick: tickOf(at),
      rank: RANK.about,
      bytes: meta(0x51, number(Math.round(60e6 / tempo), 3)),
    })),
    ...tones.flatMap(({ midi, at, length }) => [
      { tick: tickOf(at), rank: RANK.on, bytes: [0x90, midi, LOUDNESS] },
      { tick: Math.max(tickOf(at + length), tickOf(at) + 1), rank: RANK.off, bytes: [0x80, midi, 0] },
    ]),
    { tick: tickOf(length), rank: RANK.end, bytes: meta(0x2f, []) },
  ];
  return new Uint8Array([
    ...chunk("MThd", [...number(0, 2), ...number(1, 2), ...number(QUARTER, 2)]),
    ...chunk("MTrk", track(events)),
  ]);
}

/** What turns seconds into ticks, with the tempos in force. @param {Performance["tempos"]} tempos */
function ticker(tempos) {
  const first = { at: 0, tempo: tempos[0]?.tempo ?? FIRST_TEMPO, tick: 0 };
  const starts = [first];
  for (const { at, tempo } of tempos) starts.push({ at, tempo, tick: after(starts[starts.length - 1], at) });
  return (/** @type {number} */ at) => Math.round(after(starts.findLast((one) => one.at <= at + 1e-9) ?? first, at));
}

/** @param {{ at: number, tempo: number, tick: number }} start @param {number} at */
const after = (start, at) => start.tick + ((at - start.at) * start.tempo * QUARTER) / 60;

/**
 * Values that differ from the one before.
 * @template {{ at: number }} T
 * @param {T[]} things
 */
const changes = (things) => things.filter((thing, index) => contentOf(thing) !== contentOf(things[index - 1]));

/** @param {{ at: number } | undefined} thing */
const contentOf = (thing) => JSON.stringify({ ...thing, at: 0 });

/** @param {MidiEvent[]} events */
function track(events) {
  let now = 0;
  return events
    .sort((a, b) => a.tick - b.tick || a.rank - b.rank)
    .flatMap(({ tick, bytes }) => {
      const pause = tick - now;
      now = tick;
      return [...variable(pause), ...bytes];
    });
}

/** @param {number} type @param {number[]} content */
const meta = (type, content) => [0xff, type, ...variable(content.length), ...content];

/** @param {string} name @param {number[]} content */
const chunk = (name, content) => [...new TextEncoder().encode(name), ...number(content.length, 4), ...content];

/** A whole number in some bytes, the highest first. @param {number} value @param {number} bytes */
const number = (value, bytes) => Array.from({ length: bytes }, (_, at) => (value >>> (8 * (bytes - 1 - at))) & 0xff);

/** A number in as few bytes as it needs, seven bits in each. @param {number} value @returns {number[]} */
const variable = (value) =>
  value < 128 ? [value] : [...variable(value >> 7).map((byte) => byte | 0x80), value & 0x7f];
