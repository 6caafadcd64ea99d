import assert from "node:assert/strict";
import { test } from "node:test";
import { numberWithin, passageNotes, rowsWith, slideStarts } from "../../../service/web/static/sound/passage_notes.js";
import { excursion, plan } from "../small_plan.js";

test("times follow the tempo: at 120 a quarter note lasts half a second", () => {
  const notes = passageNotes(plan(), "plan", 0, 1, 120);
  assert.deepEqual(
    notes.map(({ at }) => at),
    [0, 0.5, 1],
  );
  assert.deepEqual(
    notes.map(({ length }) => length),
    [0.5, 0.5, 1],
  );
});

test("only the chosen bars sound, from their own beginning, and no grace note", () => {
  const notes = passageNotes(plan(), "home", 1, 1, 60);
  assert.deepEqual(notes, [{ row: 2, midi: 78, at: 0, length: 2, string: 1, from: undefined }]);
  assert.deepEqual(passageNotes(plan(), "home", 2, 3, 60), []);
});

test("each form has its own strings, and only the plan has slides", () => {
  const home = passageNotes(plan(), "home", 0, 1, 60);
  const planned = passageNotes(plan(), "plan", 0, 1, 60);
  assert.deepEqual(
    home.map(({ string }) => string),
    [2, 2, 1],
  );
  assert.deepEqual(
    planned.map(({ string }) => string),
    [2, 2, 2],
  );
  assert.deepEqual(
    home.map(({ from }) => from),
    [undefined, undefined, undefined],
  );
  assert.deepEqual(
    planned.map(({ from }) => from),
    [undefined, 72, undefined],
  );
});

test("a slide starts two semitones away at most, on the side of the note before", () => {
  assert.deepEqual([...slideStarts(plan())], [[1, 72]]);
  const step = plan();
  step.sounds[0].notes[0].midi = 73;
  assert.deepEqual([...slideStarts(step)], [[1, 73]]);
  step.sounds[0].notes[0].midi = 80;
  assert.deepEqual([...slideStarts(step)], [[1, 76]]);
});

test("no slide without a slur, without a shift, or at the very beginning", () => {
  const detached = plan();
  detached.sounds[1].slurred = false;
  assert.equal(slideStarts(detached).size, 0);
  assert.equal(slideStarts(plan({ excursions: [] })).size, 0);
  const first = plan({ excursions: [excursion({ arrivals: [{ rows: [0], from: 1, to: 3 }] })] });
  first.sounds[0].slurred = true;
  assert.equal(slideStarts(first).size, 0);
});

test("notes that begin together light up together, those without a row not at all", () => {
  const notes = [
    { row: 0, midi: 60, at: 0, length: 1 },
    { row: 1, midi: 64, at: 0, length: 2 },
    { row: null, midi: 67, at: 0, length: 1 },
    { row: 2, midi: 62, at: 1, length: 1 },
  ];
  assert.deepEqual(rowsWith(notes, 1), [0, 1]);
  assert.deepEqual(rowsWith(notes, 3), [2]);
});

test("a number stays within its limits", () => {
  assert.deepEqual(
    ["19", "20", "21", "300", "301", "", "x"].map((text) => numberWithin(text, 20, 300)),
    [20, 20, 21, 300, 300, 20, 20],
  );
});
