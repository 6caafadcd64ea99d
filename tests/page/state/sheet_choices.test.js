import assert from "node:assert/strict";
import { test } from "node:test";
import { chooseSheet, listenToSheet, session, startSession } from "../../../service/web/static/state/session.js";
import {
  changedChoices,
  moved,
  sheetQuery,
  WHOLE_SHEET,
  without,
} from "../../../service/web/static/state/sheet_choices.js";

test("a request names only what differs from the whole sheet", () => {
  assert.equal(sheetQuery(WHOLE_SHEET).toString(), "");
  const chosen = { ...WHOLE_SHEET, form: "card", exercises: [4, 2], week: false, remark: "Slowly & softly" };
  const query = sheetQuery(chosen, { format: "page" });
  assert.deepEqual(Object.fromEntries(query), {
    format: "page",
    form: "card",
    exercises: "4,2",
    remark: "Slowly & softly",
    week: "false",
  });
  assert.deepEqual(changedChoices({ ...WHOLE_SHEET, heading: "Monday" }), { heading: "Monday" });
});

test("an exercise moves by one place, but not over the ends", () => {
  assert.deepEqual(moved([1, 2, 3], 3, -1), [1, 3, 2]);
  assert.deepEqual(moved([1, 2, 3], 1, 1), [2, 1, 3]);
  assert.deepEqual(moved([1, 2, 3], 1, -1), [1, 2, 3]);
  assert.deepEqual(moved([1, 2, 3], 3, 1), [1, 2, 3]);
});

test("an exercise is left out, but never the last", () => {
  assert.deepEqual(without([4, 2, 9], 2), [4, 9]);
  assert.deepEqual(without([4], 4), [4]);
});

test("choices are told to who listens, and begin anew with a score", () => {
  /** @type {string[]} */
  const told = [];
  listenToSheet(() => told.push(session.sheet.form));
  chooseSheet({ ...WHOLE_SHEET, form: "card" });
  assert.deepEqual(told, ["card"]);
  startSession(session.score, session.facts, "P1", {}, [], null, { pupil: "Anna" });
  assert.deepEqual(session.sheet, { ...WHOLE_SHEET, pupil: "Anna" });
});
