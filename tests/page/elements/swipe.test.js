import assert from "node:assert/strict";
import { test } from "node:test";
import { swipe } from "../../../service/web/static/elements/swipe.js";

test("a stroke of 40 pixels and more means the direction in which it is longer by half", () => {
  assert.equal(swipe(-40, 0), "next");
  assert.equal(swipe(40, 26), "back");
  assert.equal(swipe(0, -40), "up");
  assert.equal(swipe(26, 40), "down");
});

test("a short stroke and one aslant mean nothing", () => {
  assert.equal(swipe(39, 39), null);
  assert.equal(swipe(60, 40), null);
  assert.equal(swipe(40, 60), null);
});
