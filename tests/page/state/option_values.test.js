import assert from "node:assert/strict";
import { test } from "node:test";
import { OPTIONS } from "../../../service/web/static/state/option_data.js";
import {
  changedOptions,
  DEFAULTS,
  isAccepted,
  levelName,
  setOptions,
} from "../../../service/web/static/state/option_values.js";

test("every option of the page is declared, with a default that is a value", () => {
  assert.equal(DEFAULTS.level, OPTIONS.level.default);
  for (const value of Object.values(DEFAULTS)) assert.notEqual(value, undefined);
});

test("only what differs from the defaults is saved", () => {
  assert.deepEqual(changedOptions(DEFAULTS), {});
  assert.deepEqual(changedOptions({ ...DEFAULTS, level: "all", range_lines: true }), {
    level: "all",
    range_lines: true,
  });
});

test("a request leaves out what is empty or not ticked", () => {
  const options = setOptions({ ...DEFAULTS, positions: "", tempo: "96", range_lines: false });
  assert.equal("positions" in options, false);
  assert.equal("range_lines" in options, false);
  assert.equal(options.tempo, "96");
  assert.equal(options.level, DEFAULTS.level);
});

test("a level has a name; one that the page does not know is named as the service does", () => {
  assert.equal(levelName("to-fifth"), "up to 5th");
  assert.equal(levelName("to-ninth"), "to-ninth");
});

test("the tempo is a number within its limits", () => {
  const limits = { minimum: 10, maximum: 400 };
  const accepted = ["", "10", "96", "96.5", "400"];
  const refused = ["9", "9.9", "400.1", "401", "-96", "fast", "96 ", "1e2"];
  for (const text of accepted) assert.equal(isAccepted(limits, text), true, text);
  for (const text of refused) assert.equal(isAccepted(limits, text), false, text);
});

test("positions are numbers with commas or spaces", () => {
  for (const text of ["", "1", "1,3,5", "1 3", "0, 18"]) assert.equal(isAccepted(OPTIONS.positions, text), true, text);
  for (const text of ["19", "1,", "1;3", "first"]) assert.equal(isAccepted(OPTIONS.positions, text), false, text);
});
