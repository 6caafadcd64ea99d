// The types of the page against answers that the service really gave; `tests/page_answers.py` records them. The type
// check is the test of the assignments.

import assert from "node:assert/strict";
import { test } from "node:test";
import { anchorTexts, choiceTexts, figureRows } from "../../../service/web/static/plan/card_data.js";
import { fingerboardQuery } from "../../../service/web/static/plan/fingerboard_query.js";
import { performance } from "../../../service/web/static/sound/performance.js";
import answers from "../answers.json" with { type: "json" };

/** @import { Facts, PartReview, PlanView, Problem, Sample } from "../../../service/web/static/api/answers.js" */

/** @type {Sample[]} */
const samples = answers.samples;
/** @type {Facts} */
const facts = answers.facts;
/** @type {PlanView} */
const plan = answers.plan;
/** @type {PartReview} */
const review = answers.review.parts[0];
/** @type {Problem} */
const problem = answers.problem;

test("the recorded answers have what the page reads, not only empty lists", () => {
  for (const list of [samples, facts.parts, plan.excursions, review.proposals, review.unmet, review.choices]) {
    assert.ok(list.length > 0);
  }
  for (const { alternatives, anchors, patterns, steps } of review.proposals) {
    for (const list of [alternatives, anchors, patterns, steps]) assert.ok(list.length > 0);
  }
  assert.ok(problem.detail);
});

test("every stretch has its proposal, its bars and a picture of the fingerboard", () => {
  for (const excursion of plan.excursions) {
    assert.ok(excursion.measures.every((measure) => measure < plan.bars.length));
    assert.ok(fingerboardQuery(plan, excursion).notes);
    const proposal = review.proposals[(excursion.proposal ?? 1) - 1];
    assert.ok(figureRows(proposal.before, proposal.after).length > 0);
    assert.ok(anchorTexts(proposal.anchors).length > 0);
  }
  assert.ok(choiceTexts(review, false).length > 0);
});

test("the whole part can be played in both forms, one tone for each note", () => {
  const last = plan.bars.length - 1;
  const count = plan.sounds.flatMap(({ notes }) => notes).length;
  for (const form of /** @type {const} */ (["home", "plan"])) {
    const { tones } = performance(plan, { form, first: 0, last });
    assert.equal(tones.length, count);
    assert.ok(tones.every(({ at, length }) => at >= 0 && length > 0));
  }
});
