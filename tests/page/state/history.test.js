import assert from "node:assert/strict";
import { test } from "node:test";
import { History } from "../../../service/web/static/state/history.js";

test("undo and redo walk through the snapshots", () => {
  const history = new History();
  assert.deepEqual([history.canUndo, history.canRedo], [false, false]);
  history.record("a");
  history.record("b");
  assert.equal(history.undo("c"), "b");
  assert.equal(history.undo("b"), "a");
  assert.equal(history.undo("a"), null);
  assert.equal(history.redo("a"), "b");
  assert.equal(history.redo("b"), "c");
  assert.equal(history.redo("c"), null);
});

test("a step that fails changes nothing", () => {
  const history = new History();
  history.record("a");
  history.redo("b");
  assert.equal(history.canRedo, false);
  assert.equal(history.undo("b"), "a");
});

test("a change after undo cannot be redone away", () => {
  const history = new History();
  history.record("a");
  history.undo("b");
  assert.equal(history.canRedo, true);
  history.record("a");
  assert.equal(history.canRedo, false);
  assert.equal(history.canUndo, true);
});

test("clearing forgets both directions", () => {
  const history = new History();
  history.record("a");
  history.record("b");
  history.undo("c");
  history.clear();
  assert.deepEqual([history.canUndo, history.canRedo], [false, false]);
});
