import assert from "node:assert/strict";
import { test } from "node:test";
import { handText, readHand, readHandFile, STANDARD } from "../../../service/web/static/state/fingering_hand.js";
import { OPTIONS } from "../../../service/web/static/state/option_data.js";
import { isAccepted } from "../../../service/web/static/state/option_values.js";
import { words } from "../../../service/web/static/text/words.js";

test("a hand is a text of the scales that are not 1", () => {
  assert.equal(handText({}), STANDARD);
  assert.equal(handText({ tone: 1, shifts: 1 }), STANDARD);
  assert.equal(handText({ tone: 1.4, shifts: 1, height: 0.5 }), "tone=1.4,height=0.5");
  assert.deepEqual(readHand(STANDARD), {});
  assert.deepEqual(readHand("tone=1.4,height=0.5"), { tone: 1.4, height: 0.5 });
});

test("the page names every scale that the service knows, and no other", () => {
  for (const name of Object.keys(words.hand.scales))
    assert.equal(isAccepted(OPTIONS.hand, handText({ [name]: 0.5 })), true, name);
  const known = OPTIONS.hand.pattern.match(/\(([a-z_|]+)\)=/)?.[1].split("|") ?? [];
  assert.deepEqual(known.sort(), Object.keys(words.hand.scales).sort());
});

test("a file of a learned hand is read, with its remarks passed over", () => {
  const file = "# Learned from 3 pieces.\n\n[hand]\n# Shifts: 0.7 times.\nshifts = 0.7\r\ntone = 1  # as usual\n";
  assert.deepEqual(readHandFile(file), { shifts: 0.7, tone: 1 });
  assert.deepEqual(readHandFile("[hand]\n"), {});
});

test("another file is not read as a hand", () => {
  const others = [
    "",
    "shifts = 0.7",
    "[policy]\nshifts = 0.7",
    "[hand]\nshifts = fast",
    "[hand]\nfrets = 2",
    "[hand]\nshifts = 100",
    "[hand]\nshifts = -1",
    "<score-partwise/>",
  ];
  for (const text of others) assert.equal(readHandFile(text), null, text);
});
