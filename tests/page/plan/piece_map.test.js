import assert from "node:assert/strict";
import { test } from "node:test";
import { barOfRow, mapBars, notices } from "../../../service/web/static/plan/piece_map.js";
import { facts, figures, plan, review } from "../small_plan.js";

/** @import { PartReview } from "../../../service/web/static/api/answers.js" */

const FACTS = facts({ parts: [{ id: "P1", name: "Solo", instrument: "violin", notes: 3 }], suited: ["P1"] });
const BEYOND = { level: "to-fifth", measures: ["6"], unplayable_measures: [] };

test("each bar has its highest position, its first note, and its ease beside the hardest bar", () => {
  const bars = mapBars(
    plan(),
    review({
      difficulty: {
        bars: [
          { measure: "1", per_second: 2 },
          { measure: "2", per_second: 0.5 },
        ],
      },
    }),
  );
  assert.deepEqual(
    bars.map(({ label, position, ease, row }) => [label, position, ease, row]),
    [
      ["5", 3, 0, 0],
      ["6", 3, 0.75, 2],
    ],
  );
});

test("before the review all bars are as easy, and a bar without notes is in first position", () => {
  const bars = mapBars(plan({ bars: ["5", "6", "7"] }));
  assert.deepEqual(
    bars.map(({ ease }) => ease),
    [1, 1, 1],
  );
  assert.deepEqual([bars[2].position, bars[2].row], [1, -1]);
});

test("a bar is beyond the level only if notes are out of reach", () => {
  const beyond = (/** @type {Partial<PartReview>} */ values) =>
    mapBars(plan(), review({ level_needed: BEYOND, ...values })).map(({ isBeyond }) => isBeyond);
  assert.deepEqual(beyond({}), [false, false]);
  assert.deepEqual(beyond({ beyond_measures: ["6"] }), [false, true]);
});

test("rows lead to their bars", () =>
  assert.deepEqual(
    [...barOfRow(plan())],
    [
      [0, 0],
      [1, 0],
      [2, 1],
    ],
  ));

test("a part within the level needs no notice", () => assert.deepEqual(notices(plan(), review({}), FACTS), []));

test("notices say what lies beyond the level, what no hand plays, and that the part is for another instrument", () => {
  const counts = figures({ unreachable: 2 });
  assert.deepEqual(notices(plan(), review({ counts, level_needed: BEYOND, beyond_measures: ["6"] }), FACTS), [
    { kind: "beyond", notes: 2, bars: "6", level: "to-fifth" },
  ]);
  const unplayable = { level: "all", measures: [], unplayable_measures: ["5", "6"] };
  assert.deepEqual(notices(plan(), review({ counts, level_needed: unplayable }), FACTS), [
    { kind: "unplayable", bars: "5-6" },
  ]);
  assert.deepEqual(notices(plan({ drawn: ["beams"] }), review({}), FACTS), [{ kind: "drawn", signs: ["beams"] }]);
  const parts = [{ ...FACTS.parts[0], instrument: null }];
  assert.deepEqual(notices(plan(), review({}), { ...FACTS, parts }), [
    { kind: "instrument", name: "Solo", instrument: "violin" },
  ]);
});
