import assert from "node:assert/strict";
import { test } from "node:test";
import {
  chooseDecision,
  declineDecision,
  keepDecision,
  keepDecisionFor,
  noteDecision,
  noteDecisionAt,
  pinsOf,
  remarkAt,
  remarkDecision,
  remarksOf,
  replaceDecision,
} from "../../../service/web/static/state/decisions.js";
import { excursion, row } from "../small_plan.js";

/** @import { Decision } from "../../../service/web/static/state/decisions.js" */

/** @param {Partial<Decision>} values @returns {Decision} */
const decision = (values) => ({ kind: "keep", part: "P1", rows: [1, 2], pins: [], label: "", ...values });

test("keeping a stretch pins every note of it as planned", () => {
  const kept = keepDecision("P1", excursion());
  assert.deepEqual(kept.pins, excursion().pins);
  assert.deepEqual(kept.rows, [1, 2]);
  assert.equal(kept.label, "Bars 1 to 2: kept in third position");
});

test("declining a stretch pins first position for each of its notes", () => {
  assert.deepEqual(declineDecision("P1", excursion()).pins, ["n1:position=1", "n2:position=1"]);
});

test("choosing an alternative takes its pins without their part", () => {
  const alternative = { label: "go to fifth position", text: "", near: true, pins: ["P1@n1:finger=1", "n2:finger=2"] };
  assert.deepEqual(chooseDecision("P1", excursion(), alternative).pins, ["n1:finger=1", "n2:finger=2"]);
});

test("a note's decision pins what the player chose, and finger 0 counts", () => {
  const wish = { finger: 0, string: 2 };
  const made = noteDecision("P1", 4, row({ pitch: "Bb4", place: "bar 3, beat 1" }), wish, { 2: "A" });
  assert.deepEqual(made.pins, ["n4:finger=0,string=2"]);
  assert.equal(made.label, "B♭ in bar 3, beat 1: open, A string");
});

test("a decision replaces earlier ones about the same notes", () => {
  const declined = decision({ kind: "decline", rows: [2, 3] });
  assert.deepEqual(replaceDecision([decision({})], declined), [declined]);
  const elsewhere = decision({ rows: [3, 4] });
  assert.deepEqual(replaceDecision([decision({})], elsewhere), [decision({}), elsewhere]);
});

test("decisions about notes, stretches and other parts stand beside each other", () => {
  const note = decision({ kind: "note", rows: [1] });
  const other = decision({ part: "P2" });
  assert.deepEqual(replaceDecision([decision({})], note), [decision({}), note]);
  assert.deepEqual(replaceDecision([note], decision({})), [note, decision({})]);
  assert.deepEqual(replaceDecision([decision({})], other), [decision({}), other]);
  assert.deepEqual(replaceDecision([note], decision({ kind: "note", rows: [1], label: "new" })), [
    decision({ kind: "note", rows: [1], label: "new" }),
  ]);
});

test("a decision is found by part, kind and notes", () => {
  const note = decision({ kind: "note", rows: [1] });
  const decisions = [decision({ kind: "decline" }), note, decision({})];
  assert.equal(noteDecisionAt(decisions, "P1", 1), note);
  assert.equal(noteDecisionAt(decisions, "P1", 2), undefined);
  assert.equal(noteDecisionAt(decisions, "P2", 1), undefined);
  assert.equal(keepDecisionFor(decisions, "P1", [1, 2]), decisions[2]);
  assert.equal(keepDecisionFor(decisions, "P1", [1, 2, 3]), undefined);
  assert.equal(keepDecisionFor(decisions, "P1", [2, 3]), undefined);
  assert.equal(keepDecisionFor(decisions, "P2", [1, 2]), undefined);
});

test("pins name their part", () => {
  const decisions = [decision({ pins: ["n1:finger=2"] }), decision({ part: "P2", pins: ["n3:string=1"] })];
  assert.deepEqual(pinsOf(decisions), ["P1@n1:finger=2", "P2@n3:string=1"]);
});

test("a remark asks the plan for nothing and stands beside a decision about its note", () => {
  const note = row({ pitch: "Bb4", place: "bar 3, beat 1" });
  const remark = remarkDecision("P1", 4, note, "listen!");
  assert.deepEqual(remark.pins, []);
  assert.equal(remark.label, "B♭ in bar 3, beat 1: listen!");
  const decided = noteDecision("P1", 4, note, { finger: 1 }, {});
  const both = replaceDecision([remark], decided);
  assert.deepEqual(both, [remark, decided]);
  assert.equal(remarkAt(both, "P1", 4), remark);
  assert.equal(remarkAt(both, "P1", 5), undefined);
  assert.deepEqual(remarksOf([...both, { ...remark, rows: [9], text: undefined }], "P1"), { 4: "listen!", 9: "" });
  assert.deepEqual(remarksOf(both, "P2"), {});
});
