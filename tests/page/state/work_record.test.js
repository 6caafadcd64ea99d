import assert from "node:assert/strict";
import { test } from "node:test";
import { DEFAULTS } from "../../../service/web/static/state/option_values.js";
import { WHOLE_SHEET } from "../../../service/web/static/state/sheet_choices.js";
import { scoreId, workAddress, workId, workRecord } from "../../../service/web/static/state/work_record.js";
import { facts } from "../small_plan.js";

const bytes = (/** @type {string} */ text) => new TextEncoder().encode(text);

test("the id begins with FNV-1a of 32 bits (published values, from memory) and ends with the length", () => {
  assert.equal(scoreId(bytes("")).slice(0, 8), "811c9dc5");
  assert.equal(scoreId(bytes("a")).slice(0, 8), "e40c292c");
  assert.equal(scoreId(bytes("foobar")).slice(0, 8), "bf9cf968");
  assert.ok(scoreId(bytes("foobar")).endsWith("6"));
  assert.notEqual(scoreId(bytes("ab")), scoreId(bytes("ba")));
});

test("a record holds what differs from the defaults, and where the player was", () => {
  const score = { name: "air.xml", data: bytes("<score/>") };
  const options = { ...DEFAULTS, level: "all" };
  const sheet = { ...WHOLE_SHEET, form: "card" };
  const session = { score, facts: facts({ title: "Air" }), part: "P1", options, decisions: [], place: 7, sheet };
  const record = workRecord(session, 1000);
  assert.deepEqual(record, {
    id: scoreId(score.data),
    title: "Air",
    score,
    part: "P1",
    options: { level: "all" },
    decisions: [],
    place: 7,
    sheet: { form: "card" },
    changed: 1000,
  });
  assert.equal(workRecord({ ...session, facts: facts() }, 0).title, "air.xml");
});

test("an address leads back to its id, and no other does", () => {
  assert.equal(workId(workAddress("1f")), "1f");
  assert.equal(workId("#plan=1f"), null);
  assert.equal(workId(""), null);
});
