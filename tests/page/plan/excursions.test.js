import assert from "node:assert/strict";
import { test } from "node:test";
import { barLabels, stringNames } from "../../../service/web/static/plan/excursions.js";
import { plan } from "../small_plan.js";

test("strings have the letters of their open pitch", () => assert.deepEqual(stringNames(plan()), { 1: "E", 2: "A" }));

test("bars are named by their labels, a single bar alone", () => {
  assert.equal(barLabels(plan(), [0, 1]), "5-6");
  assert.equal(barLabels(plan(), [1, 1]), "6");
});
