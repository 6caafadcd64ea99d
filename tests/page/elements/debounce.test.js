import assert from "node:assert/strict";
import { test } from "node:test";
import { debounce } from "../../../service/web/static/elements/debounce.js";

test("only the last call of a burst counts, once the wait is over", ({ mock }) => {
  mock.timers.enable({ apis: ["setTimeout"] });
  /** @type {string[]} */
  const calls = [];
  const record = debounce((/** @type {string} */ text) => calls.push(text), 500);
  record("1");
  mock.timers.tick(499);
  record("1,3");
  mock.timers.tick(499);
  assert.deepEqual(calls, []);
  mock.timers.tick(1);
  assert.deepEqual(calls, ["1,3"]);
  record("5");
  mock.timers.tick(500);
  assert.deepEqual(calls, ["1,3", "5"]);
});
