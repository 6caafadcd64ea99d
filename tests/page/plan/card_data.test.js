import assert from "node:assert/strict";
import { test } from "node:test";
import {
  anchorTexts,
  choiceTexts,
  emptyText,
  figureRows,
  nearWays,
} from "../../../service/web/static/plan/card_data.js";
import { words } from "../../../service/web/static/text/words.js";
import { figures, review } from "../small_plan.js";

test("a figure is listed if either form has it, and is better only if it is smaller", () => {
  const rows = figureRows(figures({ crossings: 5, hops: 2 }), figures({ crossings: 1, hops: 2, shifts: 2 }));
  assert.deepEqual(
    rows.map(({ name, before, after, isBetter }) => [name, before, after, isBetter]),
    [
      ["string crossings", 5, 1, true],
      ["finger hops between strings", 2, 2, false],
      ["shifts", 0, 2, false],
    ],
  );
});

test("each position has one anchor, and none are listed if none can be heard", () => {
  const anchors = [
    { position: 3, how: "sing D" },
    { position: 3, how: "sing E" },
    { position: 5, how: null },
  ];
  assert.deepEqual(anchorTexts(anchors), ["sing D", ""]);
  assert.deepEqual(anchorTexts([{ position: 3 }, { position: 5, how: null }]), []);
});

test("only ways that are nearly as good are offered", () => {
  const near = { label: "stay", text: "No shifts instead of 2.", near: true, pins: [] };
  assert.deepEqual(nearWays([near, { ...near, near: false }]), [near]);
});

test("an empty plan says so once the review is there, and names what no position reaches", () => {
  assert.equal(emptyText(undefined), "");
  assert.equal(emptyText(review({})), words.cards.none);
  const hard = review({
    counts: figures({ unreachable: 1 }),
    level_needed: { level: "to-fifth", measures: ["4", "5", "9"], unplayable_measures: [] },
    beyond_measures: ["4", "5", "9"],
    difficulty: { bars: ["3", "4", "5", "8", "9"].map((measure) => ({ measure, per_second: 1 })) },
  });
  assert.match(emptyText(hard), /bars 4-5, 9/);
});

test("choices beyond the level are listed apart", () => {
  const choices = [
    { text: "a high note", beyond_level: true },
    { text: "a long note", beyond_level: false },
  ];
  assert.deepEqual(choiceTexts(review({ choices }), true), ["a high note"]);
  assert.deepEqual(choiceTexts(review({ choices }), false), ["a long note"]);
  assert.deepEqual(choiceTexts(undefined, false), []);
});
