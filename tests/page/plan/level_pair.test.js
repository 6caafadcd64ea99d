import assert from "node:assert/strict";
import { test } from "node:test";
import { gains, levelPair } from "../../../service/web/static/plan/level_pair.js";

/** @import { PartReview } from "../../../service/web/static/api/answers.js" */

test("the present level stands beside the one before it, the first beside the second", () => {
  const levels = ["first", "third", "all"];
  assert.deepEqual(levelPair(levels, "all"), ["third", "all"]);
  assert.deepEqual(levelPair(levels, "third"), ["first", "third"]);
  assert.deepEqual(levelPair(levels, "first"), ["first", "third"]);
  assert.deepEqual(levelPair(levels, "unknown"), ["first", "third"]);
});

test("a level gains what the other one does not propose", () => {
  const review = (/** @type {string[]} */ summaries) =>
    /** @type {PartReview} */ (/** @type {unknown} */ ({ proposals: summaries.map((summary) => ({ summary })) }));
  const found = gains(
    review(["Bars 1-2: third position."]),
    review(["Bars 1-2: third position.", "Bar 9: fifth position."]),
  );
  assert.deepEqual(
    found.map(({ summary }) => summary),
    ["Bar 9: fifth position."],
  );
});
