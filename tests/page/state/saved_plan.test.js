import assert from "node:assert/strict";
import { test } from "node:test";
import { DEFAULTS } from "../../../service/web/static/state/option_values.js";
import {
  isPlanLink,
  isSavedPlan,
  planLink,
  readPlanFile,
  readPlanLink,
  savedPlan,
  savedScore,
} from "../../../service/web/static/state/saved_plan.js";
import { WHOLE_SHEET } from "../../../service/web/static/state/sheet_choices.js";
import { facts } from "../small_plan.js";

/** @import { Session } from "../../../service/web/static/state/session.js" */

const DATA = new TextEncoder().encode("<score-partwise>é♯</score-partwise>");

/** @param {Partial<Session>} values @returns {Session} */
function session(values = {}) {
  return {
    score: { name: "air.xml", data: DATA },
    facts: facts(),
    part: "P1",
    options: { ...DEFAULTS, level: "all" },
    place: null,
    decisions: [],
    sheet: WHOLE_SHEET,
    ...values,
  };
}

test("a saved plan has the score and what differs from the defaults", () => {
  const plan = savedPlan(session());
  assert.equal(plan.handframe, 1);
  assert.deepEqual(plan.options, { level: "all" });
  assert.deepEqual(savedScore(plan), { name: "air.xml", data: DATA });
});

test("a saved plan has what a teacher chose for the practice sheet", () => {
  assert.equal(savedPlan(session()).sheet, undefined);
  const sheet = { ...WHOLE_SHEET, exercises: [3, 1], pupil: "Anna" };
  assert.deepEqual(savedPlan(session({ sheet })).sheet, { exercises: [3, 1], pupil: "Anna" });
});

test("a sample is named instead of copied", () => {
  const plan = savedPlan(session({ score: { name: "air.xml", data: DATA, sample: "air.xml" } }));
  assert.equal(plan.sample, "air.xml");
  assert.equal(plan.score, undefined);
});

test("a link and a file bring the same plan back", async () => {
  const plan = savedPlan(session());
  const link = await planLink(plan);
  assert.ok(link !== null && isPlanLink(link));
  assert.deepEqual(await readPlanLink(link), plan);
  assert.deepEqual(readPlanFile(new TextEncoder().encode(JSON.stringify(plan))), plan);
});

test("a damaged link is refused", async () => {
  const link = await planLink(savedPlan(session()));
  await assert.rejects(readPlanLink(String(link).slice(0, -8)));
  await assert.rejects(readPlanLink("#plan=%%%"));
  assert.equal(isPlanLink("#stand"), false);
});

test("a link holds 60,000 characters at most", async () => {
  // Random bytes cannot be compressed, so the length of the link follows that of the score: 16/9 of it (base64 twice,
  // the first pressed back to about 3/4 by the compression), a little more or less.
  const noise = (/** @type {number} */ length) => {
    let seed = 1;
    const bytes = new Uint8Array(length);
    for (let at = 0; at < length; at += 1) {
      seed = (seed * 16807) % 2147483647;
      bytes[at] = seed >> 8;
    }
    return savedPlan(session({ score: { name: "air.xml", data: bytes } }));
  };
  let [fits, tooLong] = [30_000, 60_000];
  while (tooLong - fits > 1) {
    const middle = (fits + tooLong) >> 1;
    if ((await planLink(noise(middle))) === null) tooLong = middle;
    else fits = middle;
  }
  const longest = String(await planLink(noise(fits)));
  assert.ok(longest.length - "#plan=".length <= 60_000);
  assert.ok(longest.length - "#plan=".length > 59_990);
});

test("only data of the right form is a saved plan", () => {
  assert.equal(isSavedPlan(savedPlan(session())), true);
  assert.equal(isSavedPlan({ handframe: 1, sample: "air.xml" }), true);
  for (const data of [
    null,
    undefined,
    7,
    "plan",
    {},
    { handframe: 1 },
    { handframe: 2, sample: "a" },
    { sample: "a" },
  ]) {
    assert.equal(isSavedPlan(data), false, JSON.stringify(data));
  }
});
