// Which note a click or a key means, and how far to scroll to a note.

/** @typedef {{ x: number, y: number, width: number, height: number }} Box */

const REACH = 26; // pixels from the middle of a note head within which a click means the note
const EDGE = 40; // pixels of space above and below a line of music

/**
 * The index of the note head nearest to a point, or -1 if none is near.
 * @param {Box[]} heads
 * @param {number} x
 * @param {number} y
 */
export function nearestHead(heads, x, y) {
  let best = -1;
  let shortest = REACH;
  heads.forEach((head, index) => {
    const distance = Math.hypot(x - head.x - head.width / 2, y - head.y - head.height / 2);
    if (distance < shortest) [best, shortest] = [index, distance];
  });
  return best;
}

/** The index of the line of music nearest in height, or -1 without lines. @param {Box[]} lines @param {number} y */
export const nearestLine = (lines, y) =>
  indexOfLeast(lines.map((line) => Math.max(line.y - y, y - line.y - line.height, 0)));

/** The index of the note head nearest along its line, or -1 without heads. @param {Box[]} heads @param {number} x */
export const nearestAlong = (heads, x) => indexOfLeast(heads.map((head) => Math.abs(x - head.x - head.width / 2)));

/** @param {number[]} distances */
const indexOfLeast = (distances) => distances.indexOf(Math.min(...distances));

/**
 * The row to which a key leads, or null if the key leads nowhere.
 * @param {string} key
 * @param {number} row
 * @param {number} last
 */
export function rowAfterKey(key, row, last) {
  /** @type {Record<string, number>} */
  const targets = { ArrowRight: row + 1, ArrowLeft: row - 1, Home: 0, End: last };
  return Object.hasOwn(targets, key) ? Math.min(Math.max(targets[key], 0), last) : null;
}

/**
 * How far to scroll a desk so that a line of music is in view; 0 if it is.
 * @param {{ top: number, bottom: number }} line
 * @param {{ top: number, bottom: number }} desk
 */
export function scrollDistance(line, desk) {
  const above = line.top - desk.top - EDGE;
  return above >= 0 && line.bottom <= desk.bottom - EDGE ? 0 : above;
}
