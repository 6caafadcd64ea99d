import assert from "node:assert/strict";
import { test } from "node:test";
import { american } from "../../../service/web/static/text/american.js";

test("bars are measures in American English, with the capital letter of the text", () => {
  assert.equal(american("Bars 3-4, from bar 5; the same colour"), "Measures 3-4, from measure 5; the same color");
  assert.equal(american("barline, embark, {bar} in bar {bar}"), "barline, embark, {bar} in measure {bar}");
});
