import assert from "node:assert/strict";
import { test } from "node:test";
import {
  fingerWord,
  keyWord,
  pitchWord,
  positionWord,
  stringNumeral,
} from "../../../service/web/static/text/music_words.js";

test("position 0 is half position (common practice)", () => {
  assert.equal(positionWord(0), "half position");
  assert.equal(positionWord(1), "first position");
  assert.equal(positionWord(12), "twelfth position");
  assert.equal(positionWord(13), "13th position");
});

test("fingers and strings have their usual names: the index finger is the first, the highest string is I", () => {
  assert.deepEqual([0, 1, 4].map(fingerWord), ["open string", "1st finger", "4th finger"]);
  assert.deepEqual([1, 2, 3, 4].map(stringNumeral), ["I", "II", "III", "IV"]);
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
