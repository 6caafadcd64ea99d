import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { sentence } from "../../../service/web/static/text/sentences.js";
import { wordAt, words } from "../../../service/web/static/text/words.js";
import { row } from "../small_plan.js";

const STRINGS = { 1: "E", 2: "A", 3: "D", 4: "G" };

test("the page's skeleton names only texts that exist", () => {
  const page = readFileSync(new URL("../../../service/web/static/index.html", import.meta.url), "utf8");
  const names = [...page.matchAll(/data-word="([^"]+)"/g)].map(([, name]) => name);
  assert.ok(names.length > 0);
  for (const name of names) assert.ok(wordAt(name));
  assert.throws(() => wordAt("save.nothing"), /save\.nothing/);
  assert.throws(() => wordAt("save"), /save/);
});

test("a note says how it is played", () => {
  assert.equal(words.score.how(row({ string: 2, finger: 0 }), STRINGS), "open A string");
  const stopped = words.score.how(row({ string: 1, finger: 2, position: 3 }), STRINGS);
  assert.equal(stopped, "2nd finger, E string, third position");
  assert.equal(words.score.how(row({ string: null, finger: null, position: null }), STRINGS), "cannot be played");
  assert.equal(words.score.note(row({ pitch: "Bb4", place: "bar 7, beat 1" }), "open"), "B♭, open, bar 7, beat 1");
});

test("the status counts the passages", () => {
  assert.match(words.score.planned(0), /throughout/);
  assert.match(words.score.planned(1), /one passage /);
  assert.match(words.score.planned(2), /2 passages /);
});

test("a position that repeats at once is named once", () => {
  assert.equal(words.cards.to([3, 3, 5, 3]), "third position, then fifth position, then third position");
});

test("a wish names what the player chose, finger and position 0 included", () => {
  assert.equal(words.note.what({ finger: 0, position: 0 }, STRINGS), "open, half position");
  assert.equal(words.note.what({ string: 3 }, STRINGS), "D string");
});

test("a text becomes a sentence", () => assert.equal(sentence("shift up"), "Shift up."));
