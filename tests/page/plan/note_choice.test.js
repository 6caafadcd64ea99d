import assert from "node:assert/strict";
import { test } from "node:test";
import { costText, isPresent, wishFrom } from "../../../service/web/static/plan/note_choice.js";
import { figures, row } from "../small_plan.js";

/** @import { NoteChoice } from "../../../service/web/static/api/answers.js" */

/** @param {Partial<NoteChoice>} values @returns {NoteChoice} */
const choice = (values = {}) => ({
  string: 2,
  finger: 1,
  position: 3,
  within_level: true,
  rise: 1,
  before: figures(),
  after: figures(),
  changed: "",
  ...values,
});

test("the present way is found; an open string is the same wherever the hand is", () => {
  assert.ok(isPresent(choice(), row({ string: 2, finger: 1, position: 3 })));
  assert.ok(!isPresent(choice(), row({ string: 2, finger: 1, position: 2 })));
  assert.ok(!isPresent(choice(), row({ string: 3, finger: 1, position: 3 })));
  assert.ok(!isPresent(choice(), row({ string: 2, finger: 2, position: 3 })));
  assert.ok(isPresent(choice({ finger: 0, position: null }), row({ string: 2, finger: 0, position: 3 })));
});

test("an open string asks for no position", () => {
  assert.deepEqual(wishFrom(choice({ finger: 0, position: null })), { finger: 0, string: 2 });
  assert.deepEqual(wishFrom(choice()), { finger: 1, string: 2, position: 3 });
});

test("what changes nearby is said in words, shifts first", () => {
  const after = figures({ shifts: 2, crossings: 1 });
  assert.equal(costText(choice({ after })), "2 more shifts, one more string crossing");
  const before = figures({ stretches: 1, hops: 3 });
  assert.equal(costText(choice({ before })), "one fewer stretch, 3 fewer finger hops");
  assert.equal(costText(choice({ changed: "bars 1-2" })), "other fingers in bars 1-2");
  assert.equal(costText(choice()), "nothing else changes");
  assert.equal(costText(choice({ within_level: false })), "");
});
