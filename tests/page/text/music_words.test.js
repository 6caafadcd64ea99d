import assert from "node:assert/strict";
import { test } from "node:test";
import {
  fingerWord,
  keyWord,
  pitchWord,
  positionWord,
  stringNames,
} from "../../../service/web/static/text/music_words.js";
import { plan } from "../small_plan.js";

test("position 0 is half position (common practice)", () => {
  assert.equal(positionWord(0), "half position");
  assert.equal(positionWord(1), "first position");
  assert.equal(positionWord(12), "twelfth position");
  assert.equal(positionWord(13), "13th position");
});

test("fingers have their usual names: the index finger is the first", () => {
  assert.deepEqual([0, 1, 4].map(fingerWord), ["open string", "1st finger", "4th finger"]);
});

test("only the signs of a note change, not the letter B; its octave is left out", () => {
  assert.equal(pitchWord("Bb4"), "B♭");
  assert.equal(pitchWord("B4"), "B");
  assert.equal(pitchWord("Bbb3"), "B𝄫");
  assert.equal(pitchWord("F##5"), "F𝄪");
  assert.equal(keyWord("Bb"), "B♭");
  assert.equal(keyWord("F#"), "F♯");
  assert.equal(keyWord("B"), "B");
});

test("strings have the letters of their open pitch", () => assert.deepEqual(stringNames(plan()), { 1: "E", 2: "A" }));
