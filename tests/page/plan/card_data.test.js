import assert from "node:assert/strict";
import { test } from "node:test";
import {
  alternativeText,
  anchorTexts,
  emptyText,
  figureRows,
  openFindings,
} from "../../../service/web/static/plan/card_data.js";
import { words } from "../../../service/web/static/text/words.js";

/** @import { Figures, PartReview } from "../../../service/web/static/api/answers.js" */

/** @param {Partial<Figures>} values @returns {Figures} */
const figures = (values) => ({
  crossings: 0,
  skips: 0,
  held_weak: 0,
  stretches: 0,
  hops: 0,
  slides: 0,
  shifts: 0,
  unreachable: 0,
  ...values,
});

/** @param {Partial<PartReview>} values @returns {PartReview} */
const review = (values) => ({
  counts: figures({}),
  level_needed: { level: "first", measures: [], unplayable_measures: [] },
  difficulty: { bars: [] },
  proposals: [],
  findings: [],
  unmet: [],
  remarks: [],
  ...values,
});

test("a figure is listed if either form has it, and is better only if it is smaller", () => {
  const rows = figureRows(figures({ crossings: 5, hops: 2 }), figures({ crossings: 1, hops: 2, shifts: 2 }));
  assert.deepEqual(
    rows.map(({ name, before, after, isBetter }) => [name, before, after, isBetter]),
    [
      ["string crossings", 5, 1, true],
      ["finger hops across strings", 2, 2, false],
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

test("an alternative does not repeat its label", () => {
  assert.equal(alternativeText({ label: "stay", text: "stay: no shift at all", pins: [] }), "No shift at all");
});

test("an empty plan says so once the review is there, and names what no position reaches", () => {
  assert.equal(emptyText(undefined), "");
  assert.equal(emptyText(review({})), words.cards.none);
  const hard = review({
    counts: figures({ unreachable: 1 }),
    level_needed: { level: "to-fifth", measures: ["4", "9"], unplayable_measures: [] },
  });
  assert.match(emptyText(hard), /4, 9/);
});

test("findings that a proposal answers are not open", () => {
  const findings = [
    { proposal: null, text: "open" },
    { proposal: 1, text: "answered" },
  ];
  assert.deepEqual(openFindings(review({ findings })), [findings[0]]);
  assert.deepEqual(openFindings(undefined), []);
});
