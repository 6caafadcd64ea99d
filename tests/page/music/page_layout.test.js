import assert from "node:assert/strict";
import { test } from "node:test";
import {
  comparisonLayout,
  coveredDistance,
  flowLayout,
  limitZoom,
  NO_ZOOM,
  PAPERS,
  pictureSize,
  placeBeside,
  rowsInPicture,
  SHEET,
  zoomFactor,
} from "../../../service/web/static/music/page_layout.js";

test("without zoom a staff of 72 units is 34 pixels high", () => {
  // 800 pixels of music at 72 units for 34 pixels; the desk keeps 56 pixels for itself.
  assert.deepEqual(flowLayout(800 + 56, NO_ZOOM), { width: Math.round((800 * 72) / 34), height: 0, margin: 0 });
  assert.equal(zoomFactor(NO_ZOOM), 1);
});

test("larger notes make the line shorter in units and the sheet wider in pixels", () => {
  for (let step = 1; limitZoom(step) === step; step += 1) {
    assert.ok(flowLayout(900, step).width < flowLayout(900, step - 1).width, `step ${step}`);
    assert.ok(zoomFactor(step) > zoomFactor(step - 1), `step ${step}`);
    assert.ok(zoomFactor(step) < 1.3 * zoomFactor(step - 1), "no step is a leap");
  }
});

test("the zoom ends at its last steps", () => {
  assert.equal(limitZoom(-1), 0);
  assert.equal(limitZoom(0), 0);
  assert.equal(limitZoom(9), 9);
  assert.equal(limitZoom(10), 9);
  assert.ok(Number.isFinite(zoomFactor(limitZoom(99))));
});

test("music on a very narrow desk is as wide as on one of 320 pixels", () => {
  assert.deepEqual(flowLayout(100, NO_ZOOM), flowLayout(320, NO_ZOOM));
  assert.notDeepEqual(flowLayout(321, NO_ZOOM), flowLayout(320, NO_ZOOM));
});

test("a desk of less than 620 pixels leaves less free beside the music", () => {
  assert.equal(flowLayout(619, NO_ZOOM).width, Math.round(((619 - 20) * 72) / 34));
  assert.equal(flowLayout(620, NO_ZOOM).width, Math.round(((620 - 56) * 72) / 34));
});

test("music on a wide desk is drawn larger, from 900 and from 1350 pixels", () => {
  const width = (/** @type {number} */ desk, /** @type {number} */ scale) =>
    Math.round(((desk - 56) * 72) / (34 * scale));
  assert.equal(flowLayout(899, NO_ZOOM).width, width(899, 1));
  assert.equal(flowLayout(900, NO_ZOOM).width, width(900, 1.15));
  assert.equal(flowLayout(1349, NO_ZOOM).width, width(1349, 1.15));
  assert.equal(flowLayout(1350, NO_ZOOM).width, width(1350, 1.3));
});

test("the comparison is drawn smaller if it has less than 840 pixels", () => {
  const layout = (/** @type {number} */ width) => ({ width: Math.round(width), height: 0, margin: 0 });
  assert.deepEqual(comparisonLayout(839), layout((839 * 72) / (34 * 0.7)));
  assert.deepEqual(comparisonLayout(840), layout((840 * 72) / (34 * 0.85)));
});

test("papers have the proportions of ISO 216 A4 and of US Letter, within a thousandth", () => {
  for (const layout of [PAPERS.a4, SHEET]) assert.ok(Math.abs(layout.height / layout.width - 297 / 210) < 0.001);
  assert.ok(Math.abs(PAPERS.letter.height / PAPERS.letter.width - 11 / 8.5) < 0.001);
});

test("a picture says how large it is and which notes it has", () => {
  const svg = '<svg viewBox="0 0 1800.5 640"><g id="n3"/><g id="n12"/><g id="note7"/></svg>';
  assert.deepEqual(pictureSize(svg), { width: 1800.5, height: 640 });
  assert.deepEqual(rowsInPicture(svg), [3, 12]);
  assert.deepEqual(pictureSize("<svg/>"), { width: 2100, height: 2970 });
});

const WINDOW = { width: 1000, height: 700 };

/** A note head. @param {number} left @param {number} top */
const head = (left, top) => ({ left, top, right: left + 10, bottom: top + 10 });

test("a note gives way to what covers it, stays where it is beside or above it, and never leaves the desk", () => {
  const below = { left: 0, right: 360, top: 300, bottom: 700 };
  assert.equal(coveredDistance(head(100, 390), below, 50), 124);
  assert.equal(coveredDistance(head(100, 200), below, 50), 0);
  assert.equal(coveredDistance(head(400, 390), below, 50), 0);
  assert.equal(coveredDistance(head(100, 390), { ...below, left: 200 }, 50), 0);
  assert.equal(coveredDistance(head(100, 390), { ...below, top: 60 }, 50), 316);
});

test("a dialog stands below its note, above it, or at its side", () => {
  const small = { width: 300, height: 200 };
  assert.deepEqual(placeBeside(head(500, 100), small, WINDOW), { left: 400, top: 124 });
  assert.deepEqual(placeBeside(head(500, 600), small, WINDOW), { left: 400, top: 386 });
  const tall = { width: 300, height: 600 };
  assert.deepEqual(placeBeside(head(500, 300), tall, WINDOW), { left: 524, top: 92 });
  assert.deepEqual(placeBeside(head(900, 300), tall, WINDOW), { left: 586, top: 92 });
  assert.deepEqual(placeBeside(head(2, 100), small, WINDOW), { left: 8, top: 124 });
});
