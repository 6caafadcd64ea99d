import assert from "node:assert/strict";
import { beforeEach, test } from "node:test";
import { DEFAULTS } from "../../../service/web/static/state/option_values.js";
import * as state from "../../../service/web/static/state/session.js";
import { facts } from "../small_plan.js";

/** @import { Decision } from "../../../service/web/static/state/decisions.js" */

const { session } = state;
const SCORE = { name: "duo.xml", data: new TextEncoder().encode("<score/>") };
const PARTS = [
  { id: "P1", name: "Violin I", instrument: "violin", notes: 9 },
  { id: "P2", name: "Violin II", instrument: "violin", notes: 9 },
  { id: "P3", name: "Viola", instrument: "viola", notes: 9 },
  { id: "P4", name: "Cello", instrument: null, notes: 9 },
];
const FACTS = facts({ title: "Duo", parts: PARTS, suited: ["P1", "P2"] });
/** @type {Decision} */
const DECISION = { kind: "keep", part: "P1", rows: [1], pins: ["n1:finger=2"], label: "kept" };

let changes = 0;
state.listen(() => {
  changes += 1;
});

/** @param {string} level */
const setLevel = (level) =>
  state.change((now) => {
    now.options.level = level;
  });

beforeEach(() => {
  state.startSession(SCORE, FACTS, "P1");
  changes = 0;
});

test("every change is announced and can be undone and redone", () => {
  setLevel("all");
  assert.equal(session.options.level, "all");
  assert.deepEqual([state.canUndo(), state.canRedo()], [true, false]);
  state.undo();
  assert.equal(session.options.level, DEFAULTS.level);
  assert.deepEqual([state.canUndo(), state.canRedo()], [false, true]);
  state.redo();
  assert.equal(session.options.level, "all");
  assert.equal(changes, 3);
});

test("a change to the same value is none", () => {
  setLevel(String(DEFAULTS.level));
  assert.equal(state.canUndo(), false);
  assert.equal(changes, 0);
});

test("another level comes with its own positions, in one step", () => {
  state.change((now) => {
    now.options.positions = "1,3";
  });
  state.setLevel("all");
  assert.deepEqual([session.options.level, session.options.positions], ["all", ""]);
  state.undo();
  assert.deepEqual([session.options.level, session.options.positions], [DEFAULTS.level, "1,3"]);
});

test("undo at the beginning announces nothing", () => {
  state.undo();
  state.redo();
  assert.equal(changes, 0);
});

test("the part and the decisions are part of what is undone", () => {
  state.change((now) => {
    now.part = "P3";
  });
  state.addDecision(DECISION);
  state.undo();
  assert.deepEqual(session.decisions, []);
  state.undo();
  assert.equal(session.part, "P1");
});

test("a decision can be taken back", () => {
  state.addDecision(DECISION);
  state.addDecision({ ...DECISION, rows: [5] });
  state.removeDecision(session.decisions[0]);
  assert.deepEqual(session.decisions, [{ ...DECISION, rows: [5] }]);
});

test("a new session starts from the defaults, and what came before cannot be undone", () => {
  setLevel("all");
  state.startSession(SCORE, FACTS, "P1", { fingers: "all" }, [DECISION]);
  assert.deepEqual(session.options, { ...DEFAULTS, fingers: "all" });
  assert.deepEqual(session.decisions, [DECISION]);
  assert.equal(state.canUndo(), false);
  setLevel("all");
  state.startSession(SCORE, FACTS, "P1");
  assert.equal(session.options.level, DEFAULTS.level, "the defaults themselves are not changed");
});

test("the end of a session forgets the score", () => {
  state.endSession();
  assert.equal(session.score.data.length, 0);
  assert.deepEqual(session.facts.parts, []);
  assert.deepEqual(session.facts.suited, []);
});

test("a request names part, instrument, options and decisions", () => {
  state.addDecision(DECISION);
  const options = state.requestOptions();
  assert.deepEqual(options.part, ["P1"]);
  assert.equal(options.instrument, "violin");
  assert.deepEqual(options.pin, ["P1@n1:finger=2"]);
  assert.equal(state.requestOptions(["P3", "P1"]).instrument, "viola");
});

test("a part without an instrument is taken for a violin part", () => {
  assert.equal(state.instrumentOf("P4"), "violin");
  assert.equal(state.instrumentOf("P9"), "violin");
});

test("parts for the same instrument belong together", () => {
  assert.deepEqual(state.partsAlike(), ["P1", "P2"]);
  assert.equal(state.partName("P2"), "Violin II");
  assert.equal(state.partName("P9"), "P9");
});
