import assert from "node:assert/strict";
import { test } from "node:test";
import {
  numberWithin,
  performance,
  pulse,
  slideStarts,
  timeOfRow,
} from "../../../service/web/static/sound/performance.js";
import { excursion, plan } from "../small_plan.js";

/** @import { PlanView } from "../../../service/web/static/api/answers.js" */
/** @import { Passage } from "../../../service/web/static/sound/performance.js" */

/** @param {PlanView} view @param {Partial<Passage>} [values] */
const played = (view, values = {}) => performance(view, { form: "plan", first: 0, last: 1, ...values });

/** @param {{ at: number }[]} things */
const times = (things) => things.map(({ at }) => Math.round(at * 1000) / 1000);

test("at 60 quarter notes a minute a quarter note lasts a second; a grace note comes 90 ms before its note", () => {
  const { tones, length } = played(plan());
  assert.deepEqual(times(tones), [0, 1, 1.91, 2]);
  assert.deepEqual(
    tones.map((tone) => tone.length),
    [1, 1, 0.09, 2],
  );
  assert.equal(length, 4);
});

test("two grace notes come one after the other; before the very beginning there is no time", () => {
  const two = plan();
  const [, , grace] = two.sounds;
  two.sounds.splice(3, 0, { ...grace });
  assert.deepEqual(times(played(two).tones).slice(2, 4), [1.82, 1.91]);
  const first = plan({ sounds: [{ ...grace, measure: 0, onset: 0 }, plan().sounds[0]] });
  assert.deepEqual(times(played(first).tones), [0, 0]);
  const alone = plan({ sounds: [plan().sounds[0], { ...grace, measure: 0, onset: 1 }] });
  assert.deepEqual(times(played(alone).tones), [0, 0.91]);
});

test("the tempo may change within a bar, and holds until it changes again", () => {
  const view = plan();
  view.sounds[1].tempo = 120;
  view.sounds[3].tempo = 120;
  const { tones, length } = played(view);
  assert.deepEqual(times(tones), [0, 1, 1.41, 1.5]);
  assert.equal(length, 2.5);
  const silent = plan({ sounds: view.sounds.slice(0, 2) });
  assert.equal(played(silent).length, 1.5, "without a next bar and a note nothing sounds on");
  const three = plan({ bars: ["1", "2", "3"], starts: [0, 2, 4], order: [0, 1, 2], sounds: view.sounds.slice(0, 2) });
  assert.equal(played(three, { last: 1 }).length, 2.5, "an empty bar goes by in the tempo of the bar before");
});

test("only the chosen bars sound, from their own beginning", () => {
  const { tones } = played(plan(), { form: "home", first: 1 });
  assert.deepEqual(times(tones), [0, 0]);
  assert.deepEqual(tones[1], { midi: 78, at: 0, length: 2, string: 1, from: undefined, rows: [2] });
  assert.deepEqual(played(plan(), { first: 2, last: 3 }).tones, []);
});

test("repeats are played on request", () => {
  const view = plan({ order: [0, 1, 0, 1] });
  assert.equal(played(view).length, 4);
  assert.equal(played(view, { hasRepeats: true }).length, 8);
  assert.deepEqual(
    played(view, { hasRepeats: true, first: 1 }).tones.map(({ rows }) => rows),
    [[], [2], [], [2]],
  );
});

test("playing begins at a note", () => {
  const { tones, clicks, length } = played(plan(), { row: 1 });
  assert.deepEqual(times(tones), [0, 0.91, 1]);
  assert.deepEqual(times(clicks), [0, 1, 2]);
  assert.equal(length, 3);
  assert.equal(played(plan(), { row: 99 }).length, 4, "a note that is not there");
});

test("the metronome counts the beats, the first of a bar louder; a pick-up has the last ones", () => {
  assert.deepEqual(played(plan()).clicks, [
    { at: 0, isFirst: true },
    { at: 1, isFirst: false },
    { at: 2, isFirst: true },
    { at: 3, isFirst: false },
  ]);
  const meters = [
    [3, 4],
    [2, 4],
  ];
  assert.deepEqual(played(plan({ meters }), { last: 0 }).clicks, [
    { at: 0, isFirst: false },
    { at: 1, isFirst: false },
  ]);
});

test("one bar is counted in at the tempo in which the music begins", () => {
  const { countIn, countInLength } = played(plan());
  assert.deepEqual(times(countIn), [0, 1]);
  assert.equal(countInLength, 2);
  assert.equal(played(plan({ meters: [] })).countInLength, 4, "without a metre four quarters are counted");
  assert.equal(played(plan({ sounds: [] }), { first: 9, last: 9 }).countInLength, 2);
});

test("6/8 is counted in two, 3/8 in three, 2/2 in half notes (common practice)", () => {
  assert.deepEqual(pulse([6, 8]), [2, 1.5]);
  assert.deepEqual(pulse([12, 8]), [4, 1.5]);
  assert.deepEqual(pulse([3, 8]), [3, 0.5]);
  assert.deepEqual(pulse([2, 2]), [2, 2]);
  assert.deepEqual(pulse([3, 4]), [3, 1]);
});

test("each form has its own strings, and only the plan has slides", () => {
  const [home, planned] = /** @type {const} */ (["home", "plan"]).map((form) => played(plan(), { form }).tones);
  assert.deepEqual(
    home.map(({ string }) => string),
    [2, 2, null, 1],
  );
  assert.deepEqual(
    planned.map(({ string }) => string),
    [2, 2, null, 2],
  );
  assert.ok(home.every(({ from }) => from === undefined));
  assert.deepEqual(
    planned.map(({ from }) => from),
    [undefined, 72, undefined, undefined],
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

test("a number stays within its limits", () => {
  assert.deepEqual(
    ["19", "20", "21", "300", "301", "", "x"].map((text) => numberWithin(text, 20, 300)),
    [20, 20, 21, 300, 300, 20, 20],
  );
});

test("of the times at which a note sounds the one nearest to the place counts", () => {
  const music = performance(plan({ order: [0, 1, 0, 1] }), { form: "plan", first: 0, last: 1, hasRepeats: true });
  const second = music.tones.filter(({ rows }) => rows.includes(1)).map(({ at }) => at);
  assert.equal(second.length, 2);
  const middle = (second[0] + second[1]) / 2;
  assert.equal(timeOfRow(music, 1, middle - 0.01), second[0]);
  assert.equal(timeOfRow(music, 1, middle + 0.01), second[1]);
  assert.equal(timeOfRow(music, 99, 0), null);
});
