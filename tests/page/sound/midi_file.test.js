import assert from "node:assert/strict";
import { test } from "node:test";
import { midiFile } from "../../../service/web/static/sound/midi_file.js";
import { performance } from "../../../service/web/static/sound/performance.js";
import { plan } from "../small_plan.js";

// The bytes are those of Standard MIDI Files 1.0. The browser tests read whole files with music21.

/** @param {Partial<ReturnType<typeof performance>>} [values] */
const music = (values = {}) => ({
  tones: [],
  clicks: [],
  countIn: [],
  countInLength: 0,
  length: 1,
  tempos: [{ at: 0, tempo: 60 }],
  meters: [{ at: 0, meter: [6, 8] }],
  ...values,
});

/** @param {Uint8Array} file */
const track = (file) => [...file].slice(22);

test("a file has its header, a title, a sound, a metre and a tempo", () => {
  const file = midiFile(music(), "A", "viola");
  assert.deepEqual([...file].slice(0, 14), [77, 84, 104, 100, 0, 0, 0, 6, 0, 0, 0, 1, 1, 224]);
  assert.deepEqual([...file].slice(14, 22), [77, 84, 114, 107, 0, 0, 0, track(file).length]);
  const about = [0, 0xff, 3, 1, 65, 0, 0xc0, 41, 0, 0xff, 0x58, 4, 6, 3, 24, 8, 0, 0xff, 0x51, 3, 0x0f, 0x42, 0x40];
  assert.deepEqual(track(file), [...about, 0x83, 0x60, 0xff, 0x2f, 0], "the end comes after a quarter of 480 ticks");
  assert.equal(midiFile(music(), "A", "cello")[29], 40, "another instrument sounds as a violin");
});

test("a tone begins when the one before it has ended, at its written pitch", () => {
  const tone = { length: 1, rows: [], string: 1 };
  const tones = [
    { ...tone, midi: 69, at: 0 },
    { ...tone, midi: 69, at: 1, from: 67 },
  ];
  const bytes = track(midiFile(music({ tones, length: 2 }), "", "violin"));
  const played = bytes.slice(-22);
  assert.deepEqual(
    played,
    [0, 0x90, 69, 80, 0x83, 0x60, 0x80, 69, 0, 0, 0x90, 69, 80, 0x83, 0x60, 0x80, 69, 0, 0, 0xff, 0x2f, 0],
  );
});

test("a change of tempo changes the ticks of what follows, and metres are written where they change", () => {
  const values = {
    tempos: [
      { at: 0, tempo: 60 },
      { at: 1, tempo: 120 },
    ],
    meters: [
      { at: 0, meter: [2, 4] },
      { at: 1, meter: [2, 4] },
    ],
    length: 2,
  };
  const bytes = track(midiFile(music(values), "", "violin"));
  assert.equal(bytes.filter((byte) => byte === 0x58).length, 1);
  assert.deepEqual(bytes.slice(-11), [0xff, 0x51, 3, 0x07, 0xa1, 0x20, 0x87, 0x40, 0xff, 0x2f, 0]);
});

test("a part is played as the page plays it; without a tempo it goes on in the usual one", () => {
  const whole = performance(plan({ order: [0, 1, 0, 1] }), { form: "plan", first: 0, last: 1, hasRepeats: true });
  const begun = track(midiFile(whole, "", "violin")).filter((byte) => byte === 0x90).length;
  assert.equal(begun, whole.tones.length);
  const empty = midiFile(music({ tempos: [], meters: [], length: 1 }), "", "violin");
  assert.deepEqual(track(empty).slice(-5), [0x87, 0x40, 0xff, 0x2f, 0], "two quarters in a second");
});
