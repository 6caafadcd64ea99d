// The shapes drawn around a stretch and at a shift, from the boxes of its notes.

/** @import { Box } from "./note_navigation.js" */
/** @typedef {{ top: number, bottom: number }} Staff top and bottom line */

export const SPACE = 180; // a space of the staff in units of the picture

/**
 * The area of a stretch within one system.
 * @param {Box[]} heads note heads
 * @param {Box[]} notes whole notes, with stems and marks
 * @param {Staff} staff
 */
export function stretchArea(heads, notes, staff) {
  return {
    left: Math.min(...heads.map((box) => box.x)) - 0.9 * SPACE,
    right: Math.max(...heads.map((box) => box.x + box.width)) + 0.9 * SPACE,
    top: Math.min(staff.top, ...notes.map((box) => box.y)) - 0.8 * SPACE,
    bottom: Math.max(staff.bottom, ...notes.map((box) => box.y + box.height)) + 0.8 * SPACE,
  };
}

/**
 * The stroke before the note on which the hand arrives, as an SVG path: it rises if the hand goes up.
 * @param {Box} head
 * @param {number} from position
 * @param {number} to position
 */
export function shiftStroke(head, from, to) {
  const middle = head.y + head.height / 2;
  const rise = to > from ? -0.75 * SPACE : 0.75 * SPACE;
  const x = head.x - 0.35 * SPACE;
  return `M${x - 1.05 * SPACE} ${middle - rise}L${x} ${middle + rise * 0.1}`;
}

/** Top and bottom of a staff from the boxes of its lines. @param {Box[]} lines @returns {Staff} */
export function staffOf(lines) {
  return {
    top: Math.min(...lines.map((line) => line.y)),
    bottom: Math.max(...lines.map((line) => line.y + line.height)),
  };
}
