// How wide the music is drawn: sizes for the window, for paper and for the comparison, in units of the engraver.

/** @typedef {{ width: number, height: number, margin: number }} Layout a height of 0: one page without end */

const STAFF = 72; // units that a staff is high
const STAFF_PIXELS = 34;
const NARROWEST = 300; // pixels
const NARROW = 620; // pixels of the desk below which the music leaves less free
const DESK_EDGE = 56; // pixels of the desk that the music leaves free on both sides together
const NARROW_EDGE = 20;
/** How much larger the music is drawn on a desk of some pixels and more: it is read from further away. @type {[number, number][]} */
const LARGER = [
  [1350, 1.3],
  [900, 1.15],
];
const NOTE_ROOM = 24; // pixels between a note and what covers the music below it
const GAP = 14; // pixels between a note and the dialog about it
const EDGE = 8; // pixels that a dialog keeps from the edge of the window
const WIDE = 840; // pixels from which the comparison is drawn larger

/** @type {Layout} */
export const SHEET = { width: 2160, height: 3055, margin: 110 };
/** @type {Record<string, Layout>} */
export const PAPERS = {
  a4: { width: 2160, height: 3055, margin: 150 },
  letter: { width: 2222, height: 2875, margin: 150 },
};
const ZOOMS = [0.6, 0.7, 0.8, 0.9, 1, 1.15, 1.3, 1.5, 1.8, 2.2];
export const NO_ZOOM = ZOOMS.indexOf(1);

/** The nearest step of the zoom that exists. @param {number} step */
export const limitZoom = (step) => Math.min(Math.max(step, 0), ZOOMS.length - 1);

/** How much larger a page is shown than it is without zoom. @param {number} zoom step of the zoom */
export const zoomFactor = (zoom) => ZOOMS[zoom];

/**
 * The layout of music that flows down a desk.
 * @param {number} deskPixels width of the desk
 * @param {number} zoom step of the zoom
 * @returns {Layout}
 */
export function flowLayout(deskPixels, zoom) {
  const pixels = Math.max(NARROWEST, deskPixels - (deskPixels < NARROW ? NARROW_EDGE : DESK_EDGE));
  const [, larger] = LARGER.find(([from]) => deskPixels >= from) ?? [0, 1];
  return { width: units(pixels, ZOOMS[zoom] * larger), height: 0, margin: 0 };
}

/** The layout of the bars that are compared. @param {number} pixels width of the pictures @returns {Layout} */
export function comparisonLayout(pixels) {
  return { width: units(pixels, pixels < WIDE ? 0.7 : 0.85), height: 0, margin: 0 };
}

/** @param {number} pixels @param {number} scale */
const units = (pixels, scale) => Math.round((pixels * STAFF) / (STAFF_PIXELS * scale));

/** @typedef {{ left: number, right: number, top: number, bottom: number }} Box */

/**
 * Where a dialog about a note stands: below the note, else above it, else at its side; never beyond the window.
 * @param {Box} note
 * @param {{ width: number, height: number }} dialog
 * @param {{ width: number, height: number }} window
 */
export function placeBeside(note, dialog, window) {
  const within = (/** @type {number} */ at, /** @type {number} */ size, /** @type {number} */ all) =>
    Math.max(EDGE, Math.min(at, all - size - EDGE));
  const left = within(note.left - dialog.width / 3, dialog.width, window.width);
  if (note.bottom + GAP + dialog.height <= window.height - EDGE) return { left, top: note.bottom + GAP };
  const above = note.top - GAP - dialog.height;
  if (above >= EDGE) return { left, top: above };
  const right = note.right + GAP;
  const side = right + dialog.width <= window.width - EDGE ? right : note.left - GAP - dialog.width;
  return {
    left: within(side, dialog.width, window.width),
    top: within(note.bottom, dialog.height, window.height),
  };
}

/**
 * How far a note has to move up until it is free of a box that stands over the lower part of the music; not so far that
 * it would leave the desk.
 * @param {Box} note
 * @param {Box} cover
 * @param {number} deskTop
 */
export function coveredDistance(note, cover, deskTop) {
  const isBeside =
    note.right < cover.left || note.left > cover.right || note.bottom < cover.top || note.top > cover.bottom;
  const most = Math.max(0, note.top - deskTop - NOTE_ROOM);
  return isBeside ? 0 : Math.min(most, Math.ceil(note.bottom + NOTE_ROOM - cover.top));
}

/** Width and height of a picture; those of A4 if it says nothing. @param {string} svg */
export function pictureSize(svg) {
  const [, width, height] = /viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(svg) ?? [null, 2100, 2970];
  return { width: Number(width), height: Number(height) };
}

/** The rows of the plan whose notes are in a picture. @param {string} svg */
export const rowsInPicture = (svg) => [...svg.matchAll(/id="n(\d+)"/g)].map(([, row]) => Number(row));
