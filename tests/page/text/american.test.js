import assert from "node:assert/strict";
import { afterEach, test } from "node:test";
import { american, followLanguage, spoken } from "../../../service/web/static/text/american.js";
import { words } from "../../../service/web/static/text/words.js";

afterEach(() => followLanguage(() => "en-GB"));

test("bars become measures, whole words only, with their capitals", () => {
  assert.equal(american("Bars 3-4, from bar 5; the same colour"), "Measures 3-4, from measure 5; the same color");
  assert.equal(american("barline, embark"), "barline, embark");
});

test("texts follow the language, functions and groups included", () => {
  const texts = spoken({ plain: "bar", made: (/** @type {string} */ n) => `Bar ${n}`, group: { inner: "bars" }, n: 3 });
  assert.deepEqual([texts.plain, texts.made("7"), texts.group.inner, texts.n], ["bar", "Bar 7", "bars", 3]);
  followLanguage(() => "en-US");
  assert.deepEqual([texts.plain, texts.made("7"), texts.group.inner, texts.n], ["measure", "Measure 7", "measures", 3]);
});

test("titles and part names stay as they were written", () => {
  followLanguage(() => "en-US");
  assert.match(words.parts.lead("The Bar"), /The Bar/);
  assert.equal(words.compare.title("3-4"), "Measures 3-4, both ways");
});
