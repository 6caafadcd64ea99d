import assert from "node:assert/strict";
import { test } from "node:test";
import { cutoff, frequency, RELEASE, toneTimes } from "../../../service/web/static/sound/tones.js";

/** @param {number} value @param {number} expected */
const near = (value, expected, tolerance = 1e-9) => assert.ok(Math.abs(value - expected) < tolerance, `${value}`);

test("A4 is 440 Hz (ISO 16), and the other keys lie in equal temperament", () => {
  // Frequencies from the usual tables of equal temperament on A4 = 440 Hz, to a thousandth.
  const table = [
    [69, 440],
    [57, 220],
    [76, 659.255],
    [62, 293.665],
    [60, 261.626],
    [55, 195.998],
  ];
  for (const [midi, hertz] of table) near(frequency(midi), hertz, 0.0005);
  assert.equal(frequency(69, 415), 415);
});

test("lower strings are darker; a tone without a string is in between", () => {
  const [e, a, d, g] = [1, 2, 3, 4].map(cutoff);
  assert.ok(e > a && a > d && d > g);
  assert.equal(cutoff(null), cutoff(undefined));
  assert.ok(cutoff(null) < a && cutoff(null) > d);
});

test("a tone begins at its time, is loud after 50 ms and leaves 20 ms before the next", () => {
  const times = toneTimes({ midi: 69, at: 2, length: 0.5 }, 10);
  near(times.begin, 12);
  near(times.loud, 12.05);
  near(times.end, 12.48);
  near(times.fade, 12.48 - RELEASE);
});

test("a very short tone lasts 60 ms and does not fade before it is loud", () => {
  const times = toneTimes({ midi: 69, at: 0, length: 0.01 }, 0);
  near(times.end, 0.06);
  near(times.fade, times.loud);
  near(toneTimes({ midi: 69, at: 0, length: 0.09 }, 0).end, 0.07);
});

test("a slide takes a third of the tone, 90 ms at most", () => {
  near(toneTimes({ midi: 69, at: 0, length: 0.24 }, 0).arrive, 0.08);
  near(toneTimes({ midi: 69, at: 0, length: 0.3 }, 0).arrive, 0.09);
});
