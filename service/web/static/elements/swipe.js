// What a stroke of the finger over the sheet means.

const SHORTEST = 40; // pixels
const LEAN = 1.5; // how much longer one direction has to be than the other

/** @typedef {"next" | "back" | "up" | "down" | null} Swipe */

/** The direction of a stroke; null if it is short or aslant. @param {number} x @param {number} y @returns {Swipe} */
export function swipe(x, y) {
  if (Math.max(Math.abs(x), Math.abs(y)) < SHORTEST) return null;
  if (Math.abs(x) > LEAN * Math.abs(y)) return x < 0 ? "next" : "back";
  if (Math.abs(y) > LEAN * Math.abs(x)) return y < 0 ? "up" : "down";
  return null;
}
