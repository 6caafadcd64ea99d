import assert from "node:assert/strict";
import { test } from "node:test";
import { barLabels, barList } from "../../../service/web/static/text/bar_list.js";
import { plan } from "../small_plan.js";

test("neighbouring bars are a range, others stand alone", () => {
  const bars = ["0", "1", "2", "3", "3a", "4"];
  assert.equal(barList(bars, ["1", "2", "3", "4"]), "1-3, 4");
  assert.equal(barList(bars, ["4", "3a"]), "3a-4");
  assert.equal(barList(bars, ["0"]), "0");
  assert.equal(barList(bars, []), "");
});

test("bars are named by their labels, a single bar alone", () => {
  assert.equal(barLabels(plan(), [0, 1]), "5-6");
  assert.equal(barLabels(plan(), [1, 1]), "6");
});
