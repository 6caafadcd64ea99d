import assert from "node:assert/strict";
import { test } from "node:test";
import { phrasebook } from "../../../service/web/static/text/phrasebook.js";

const CATALOGUE = {
  texts: { Save: "Sichern", "{n} of {all}": "{n} von {all}", "one shift": ["ein Wechsel", "{n} Wechsel"] },
  notes: { Bb: "B", B: "H" },
};
const NONE = { texts: {}, notes: {} };

test("texts are said as the catalogue has them, and in English where it has none", () => {
  const { say, count, translatedNote, allOf } = phrasebook("de", CATALOGUE);
  assert.equal(say("Save"), "Sichern");
  assert.equal(say("{n} of {all}", { n: 1, all: 2 }), "1 von 2");
  assert.equal(say("not there {yet}"), "not there {yet}");
  assert.equal(say("one shift"), "ein Wechsel");
  const counted = [1, 2, 1200].map((n) => count(n, "one shift", "{n} shifts"));
  assert.deepEqual(counted, ["ein Wechsel", "2 Wechsel", "1.200 Wechsel"]);
  assert.deepEqual([translatedNote("Bb"), allOf(["A", "B", "C"])], ["B", "A, B und C"]);
});

test("a tree of texts is translated whole; functions and numbers stay", () => {
  const twice = (/** @type {number} */ n) => 2 * n;
  const { translated } = phrasebook("de", CATALOGUE);
  const found = translated({ save: "Save", list: ["Save"], n: 3, twice });
  assert.deepEqual(found, { save: "Sichern", list: ["Sichern"], n: 3, twice });
});

test("American English says measure; what is filled in stays as it was written", () => {
  const american = phrasebook("en-US", NONE);
  assert.equal(american.say("Bar {bar}", { bar: "Bar None" }), "Measure Bar None");
  assert.equal(american.count(2, "one bar", "{n} bars"), "2 measures");
  assert.equal(american.allOf(["a", "b", "c"]), "a, b and c");
  assert.equal(phrasebook("en-GB", NONE).count(1, "one bar", "{n} bars"), "one bar");
});

test("French counts none and one alike", () => {
  const { count } = phrasebook("fr", { texts: { "one x": ["{n} saut", "{n} sauts"] }, notes: {} });
  assert.deepEqual(
    [0, 1, 2].map((n) => count(n, "one x", "{n} x")),
    ["0 saut", "1 saut", "2 sauts"],
  );
});
