import assert from "node:assert/strict";
import { test } from "node:test";
import {
  fingerWord,
  keyWord,
  ordinal,
  pitchWord,
  positionWord,
  stringNumeral,
} from "../../../service/web/static/text/music_words.js";

test("ordinals follow English spelling, the teens included", () => {
  const numbers = [1, 2, 3, 4, 10, 11, 12, 13, 14, 20, 21, 22, 23, 101, 110, 111, 112, 113, 114, 121];
  const expected =
    "1st 2nd 3rd 4th 10th 11th 12th 13th 14th 20th 21st 22nd 23rd 101st 110th 111th 112th 113th 114th 121st";
  assert.equal(numbers.map(ordinal).join(" "), expected);
});

test("position 0 is half position (common practice)", () => {
  assert.equal(positionWord(0), "half position");
  assert.equal(positionWord(1), "1st position");
});

test("fingers and strings have their usual names: the index finger is the first, the highest string is I", () => {
  assert.deepEqual([0, 1, 4].map(fingerWord), ["open string", "first finger", "fourth finger"]);
  assert.deepEqual([1, 2, 3, 4].map(stringNumeral), ["I", "II", "III", "IV"]);
});

test("only the signs of a pitch change, not the letter B", () => {
  assert.equal(pitchWord("Bb4"), "B♭4");
  assert.equal(pitchWord("B4"), "B4");
  assert.equal(pitchWord("Bbb3"), "B♭♭3");
  assert.equal(pitchWord("F##5"), "F♯♯5");
  assert.equal(keyWord("Bb"), "B♭");
  assert.equal(keyWord("F#"), "F♯");
  assert.equal(keyWord("B"), "B");
});
