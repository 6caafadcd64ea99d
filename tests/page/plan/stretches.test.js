import assert from "node:assert/strict";
import { test } from "node:test";
import {
  filtered,
  measuresOf,
  neighbour,
  nextChoice,
  stretchesOf,
} from "../../../service/web/static/plan/stretches.js";
import { declineDecision, keepDecision } from "../../../service/web/static/state/decisions.js";
import { excursion, plan } from "../small_plan.js";

const early = excursion({ rows: [1, 2], measures: [0, 0] });
const late = excursion({ rows: [7, 8], bars: "bar 9" });
const two = plan({ excursions: [early, late] });

test("what the player declines keeps its card, in the order of the music", () => {
  const decline = declineDecision("P1", early);
  const stretches = stretchesOf(plan({ excursions: [late] }), [decline, keepDecision("P1", late)]);
  assert.deepEqual(
    stretches.map(({ rows, index, decline }) => [rows[0], index, decline?.bars]),
    [
      [1, null, "bars 1 to 2"],
      [7, 0, undefined],
    ],
  );
  assert.deepEqual(stretchesOf(plan({ excursions: [] }), [declineDecision("P2", early)]), [], "another part");
});

test("a new part opens its first card, the same part the card where the hand was", () => {
  const stretches = stretchesOf(two, []);
  assert.equal(nextChoice(stretches, true, [8])?.index, 0);
  assert.equal(nextChoice(stretches, false, [8])?.index, 1);
  assert.equal(nextChoice(stretches, false, [])?.index, undefined);
  assert.equal(nextChoice([], true, []), null);
});

test("declining a stretch leaves its own card open, not that of the stretch that follows", () => {
  const stretches = stretchesOf(plan({ excursions: [late] }), [declineDecision("P1", early)]);
  assert.equal(nextChoice(stretches, false, early.rows)?.decline?.kind, "decline");
});

test("steps lead from stretch to stretch and end at both ends", () => {
  const stretches = stretchesOf(two, []);
  assert.equal(neighbour(stretches, null, 1)?.index, 0);
  assert.equal(neighbour(stretches, null, -1)?.index, 1);
  assert.equal(neighbour(stretches, stretches[0], 1)?.index, 1);
  assert.equal(neighbour(stretches, stretches[1], 1)?.index, 1);
  assert.equal(neighbour(stretches, stretches[0], -1)?.index, 0);
  assert.equal(neighbour([], null, 1), null);
});

test("the bars of a declined stretch are those of its notes", () => {
  const bars = plan({ bars: ["1", "2"] });
  const [declined] = stretchesOf({ ...bars, excursions: [] }, [declineDecision("P1", early)]);
  assert.deepEqual(measuresOf(bars, declined), [0, 1]);
  assert.deepEqual(measuresOf(plan({ bars: ["9"] }), declined), [0, 0], "a label that is not there");
  assert.deepEqual(measuresOf(two, stretchesOf(two, [])[1]), [0, 1]);
});

test("stretches are filtered by whether anything is decided about them", () => {
  const decisions = [keepDecision("P1", early)];
  const stretches = stretchesOf(two, decisions);
  const rows = (/** @type {string} */ filter) => filtered(stretches, decisions, "P1", filter).map((one) => one.rows[0]);
  assert.deepEqual(rows("all"), [1, 7]);
  assert.deepEqual(rows("open"), [7]);
  assert.deepEqual(rows("decided"), [1]);
});

test("what is decided about another part decides nothing about this one", () => {
  const stretches = stretchesOf(two, []);
  const elsewhere = [keepDecision("P2", early), declineDecision("P2", late)];
  assert.deepEqual(filtered(stretches, elsewhere, "P1", "open"), stretches);
  assert.deepEqual(filtered(stretches, elsewhere, "P1", "decided"), []);
});
