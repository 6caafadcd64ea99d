import assert from "node:assert/strict";
import { test } from "node:test";
import { fingerboardQuery, KEYS, keyOf, soundingKeys } from "../../../service/web/static/plan/fingerboard_query.js";
import { excursion, plan, row } from "../small_plan.js";

test("keys follow the circle of fifths", () => {
  // Signatures of the major keys (general music theory).
  const signatures = { C: 0, G: 1, D: 2, "F#": 6, "C#": 7, F: -1, Bb: -2, Gb: -6, Cb: -7 };
  for (const [key, fifths] of Object.entries(signatures)) assert.equal(keyOf(fifths), key);
  assert.equal(new Set(KEYS).size, 15);
});

test("a stretch shows its position and key, with its notes ringed once each", () => {
  const music = plan({ plan: [row(), row({ pitch: "D5" }), row({ pitch: "D5" }), row({ pitch: "C4", string: null })] });
  const query = fingerboardQuery(music, excursion({ rows: [1, 2, 3], positions: [3, 5], fifths: -1 }));
  assert.deepEqual(query, { position: "3", key: "F", notes: "2:D5", instrument: "violin" });
});

test("without a stretch first position is shown in the key of the part", () => {
  const query = fingerboardQuery(plan({ instrument: "viola", fifths: [2, -3] }), null);
  assert.deepEqual(query, { position: "1", key: "D", notes: "", instrument: "viola" });
  assert.equal(fingerboardQuery(plan({ fifths: [] }), null).key, "C");
});

test("sounding notes are named by string and key number", () => {
  assert.deepEqual(soundingKeys(plan(), [1]), ["2:74"]);
  assert.deepEqual(soundingKeys(plan(), []), []);
});
