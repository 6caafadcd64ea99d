import assert from "node:assert/strict";
import { test } from "node:test";
import { barLabels, excursionAt, stringNames } from "../../../service/web/static/plan/excursions.js";
import { excursion, plan } from "../small_plan.js";

const two = plan({ excursions: [excursion({ rows: [1, 2] }), excursion({ rows: [7, 8] })] });

test("strings have the letters of their open pitch", () => assert.deepEqual(stringNames(plan()), { 1: "E", 2: "A" }));

test("the stretch with a common note is found", () => {
  assert.equal(excursionAt(two, [8, 9]), 1);
  assert.equal(excursionAt(two, [2, 7]), 0);
  assert.equal(excursionAt(two, [3]), null);
  assert.equal(excursionAt(two, []), null);
});

test("bars are named by their labels, a single bar alone", () => {
  assert.equal(barLabels(plan(), [0, 1]), "5-6");
  assert.equal(barLabels(plan(), [1, 1]), "6");
});
