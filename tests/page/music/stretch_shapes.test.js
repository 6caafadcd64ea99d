import assert from "node:assert/strict";
import { test } from "node:test";
import { SPACE, shiftStroke, staffOf, stretchArea } from "../../../service/web/static/music/stretch_shapes.js";

const STAFF = { top: 1000, bottom: 1720 };
const HEADS = [
  { x: 500, y: 1100, width: 200, height: 180 },
  { x: 900, y: 1000, width: 200, height: 180 },
];

test("a staff of five lines is four spaces high", () => {
  const lines = [0, 1, 2, 3, 4].map((line) => ({ x: 0, y: 1000 + line * SPACE, width: 5000, height: 0 }));
  assert.deepEqual(staffOf(lines), STAFF);
});

test("the area reaches nine tenths of a space beyond the outer heads", () => {
  const { left, right } = stretchArea(HEADS, HEADS, STAFF);
  assert.equal(left, 500 - 162);
  assert.equal(right, 1100 + 162);
});

test("the area covers the staff, and notes above and below it", () => {
  const inside = stretchArea(HEADS, HEADS, STAFF);
  assert.deepEqual([inside.top, inside.bottom], [1000 - 144, 1720 + 144]);
  const stems = [{ x: 500, y: 700, width: 200, height: 1300 }];
  const outside = stretchArea(HEADS, stems, STAFF);
  assert.deepEqual([outside.top, outside.bottom], [700 - 144, 2000 + 144]);
});

test("a line with some thickness belongs to the staff", () => {
  const lines = [1000, 1720].map((y) => ({ x: 0, y, width: 5000, height: 20 }));
  assert.deepEqual(staffOf(lines), { top: 1000, bottom: 1740 });
});

test("the stroke of a shift stands before the note, and rises if the hand goes up", () => {
  // The middle of the head is at 500. The stroke ends 0.35 spaces before the head and is 1.05 spaces wide; it starts
  // 0.75 spaces from the middle and ends a tenth of that beyond it. SVG counts downwards.
  const head = { x: 1000, y: 400, width: 200, height: 200 };
  assert.equal(shiftStroke(head, 1, 3), "M748 635L937 486.5");
  assert.equal(shiftStroke(head, 3, 1), "M748 365L937 513.5");
});
