import assert from "node:assert/strict";
import { test } from "node:test";
import { barList } from "../../../service/web/static/text/bar_list.js";

test("neighbouring bars are a range, others stand alone", () => {
  const bars = ["0", "1", "2", "3", "3a", "4"];
  assert.equal(barList(bars, ["1", "2", "3", "4"]), "1-3, 4");
  assert.equal(barList(bars, ["4", "3a"]), "3a-4");
  assert.equal(barList(bars, ["0"]), "0");
  assert.equal(barList(bars, []), "");
});
