import assert from "node:assert/strict";
import { test } from "node:test";
import { exerciseTones, roundLength } from "../../../service/web/static/sound/exercise_tones.js";

/** @import { ExerciseSound } from "../../../service/web/static/sound/exercise_tones.js" */

/** @type {ExerciseSound} */
const SOUND = {
  tempo: 60,
  beat: 1,
  length: 4,
  drone: 62,
  notes: [
    [0, 2, 71, 2],
    [2, 2, 74, 2],
  ],
};
const PLAIN = { pace: 1, drone: false, click: false, answer: false };

test("notes last as long as they are written, at half the tempo twice as long", () => {
  assert.deepEqual(exerciseTones(SOUND, PLAIN), [
    { midi: 71, at: 0, length: 2, string: 2 },
    { midi: 74, at: 2, length: 2, string: 2 },
  ]);
  assert.equal(exerciseTones(SOUND, { ...PLAIN, pace: 0.5 })[1].at, 4);
  assert.equal(roundLength(SOUND, { ...PLAIN, pace: 0.5 }), 8);
});

test("a click counts two beats in and goes on to the end", () => {
  const tones = exerciseTones(SOUND, { ...PLAIN, click: true });
  assert.equal(tones[0].at, 2);
  assert.deepEqual(
    tones.filter(({ midi }) => midi > 90).map(({ at }) => at),
    [0, 1, 2, 3, 4, 5],
  );
  assert.equal(roundLength(SOUND, { ...PLAIN, click: true }), 6);
});

test("a drone lies under all of it, the pause to answer included", () => {
  const drone = exerciseTones(SOUND, { ...PLAIN, drone: true, answer: true }).at(-1);
  assert.deepEqual(drone, { midi: 62, at: 0, length: 8, string: 4 });
  assert.equal(roundLength(SOUND, { ...PLAIN, answer: true }), 8);
});
