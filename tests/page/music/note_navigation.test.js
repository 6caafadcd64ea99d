import assert from "node:assert/strict";
import { test } from "node:test";
import {
  nearestAlong,
  nearestHead,
  nearestLine,
  rowAfterKey,
  scrollDistance,
} from "../../../service/web/static/music/note_navigation.js";

/** A note head of 10 pixels with its middle at a point. @param {number} x @param {number} y */
const head = (x, y) => ({ x: x - 5, y: y - 5, width: 10, height: 10 });

test("a click means the nearest note", () => {
  const heads = [head(100, 50), head(120, 50), head(140, 50)];
  assert.equal(nearestHead(heads, 118, 52), 1);
  assert.equal(nearestHead(heads, 131, 50), 2);
});

test("a click 26 pixels away means no note", () => {
  assert.equal(nearestHead([head(100, 50)], 125.9, 50), 0);
  assert.equal(nearestHead([head(100, 50)], 126, 50), -1);
  assert.equal(nearestHead([head(100, 50)], 100, 75.9), 0);
  assert.equal(nearestHead([], 0, 0), -1);
});

test("a press between the notes means the line at its height, and the note nearest along it", () => {
  const lines = [
    { x: 0, y: 100, width: 500, height: 60 },
    { x: 0, y: 200, width: 500, height: 60 },
  ];
  assert.equal(nearestLine(lines, 130), 0);
  assert.equal(nearestLine(lines, 179), 0);
  assert.equal(nearestLine(lines, 181), 1);
  assert.equal(nearestLine(lines, 900), 1);
  assert.equal(nearestLine([], 130), -1);
  const heads = [head(100, 50), head(200, 90), head(300, 50)];
  assert.equal(nearestAlong(heads, 149), 0);
  assert.equal(nearestAlong(heads, 151), 1);
  assert.equal(nearestAlong([], 151), -1);
});

test("keys lead to the neighbours and to both ends, and stay inside", () => {
  assert.equal(rowAfterKey("ArrowRight", 3, 9), 4);
  assert.equal(rowAfterKey("ArrowLeft", 3, 9), 2);
  assert.equal(rowAfterKey("Home", 3, 9), 0);
  assert.equal(rowAfterKey("End", 3, 9), 9);
  assert.equal(rowAfterKey("ArrowRight", 9, 9), 9);
  assert.equal(rowAfterKey("ArrowLeft", 0, 9), 0);
  assert.equal(rowAfterKey("Enter", 3, 9), null);
  assert.equal(rowAfterKey("toString", 3, 9), null);
});

test("a line of music needs 40 pixels above and below to count as in view", () => {
  const desk = { top: 100, bottom: 500 };
  assert.equal(scrollDistance({ top: 140, bottom: 460 }, desk), 0);
  assert.equal(scrollDistance({ top: 140.5, bottom: 460 }, desk), 0);
  assert.equal(scrollDistance({ top: 139, bottom: 300 }, desk), -1);
  assert.equal(scrollDistance({ top: 300, bottom: 461 }, desk), 160);
});
