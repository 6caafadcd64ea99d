// What is drawn over the engraved music: the stretches away from first position, and the shifts.

import { makeSvg } from "../elements/elements.js";
import { positionWord } from "../text/music_words.js";
import { SPACE, shiftStroke, staffOf, stretchArea } from "./stretch_shapes.js";

/** @import { Arrival, PlanView } from "../api/answers.js" */

const FLAG = 1.7 * SPACE; // side of the square with the number of a stretch

/** Draw every stretch of the plan within one picture, and its shifts. @param {SVGElement} drawing @param {PlanView} plan */
export function drawStretches(drawing, plan) {
  const layer = drawing.querySelector("g.page-margin");
  if (!layer) return;
  plan.excursions.forEach((excursion, index) => {
    let isFirst = true;
    for (const notes of notesBySystem(drawing, excursion.rows)) {
      const hasBeginning = isFirst && notes[0].id === `n${excursion.rows[0]}`;
      layer.prepend(stretch(notes, index, hasBeginning));
      isFirst = false;
    }
    for (const arrival of excursion.arrivals) {
      const note = noteAt(drawing, arrival.rows[0]);
      if (note) layer.append(shiftMark(note, arrival));
    }
  });
}

/** @param {SVGElement} drawing @param {number} row */
const noteAt = (drawing, row) => /** @type {SVGGraphicsElement | null} */ (drawing.querySelector(`#n${row}`));

/** The notes of some rows, a list for each system. @param {SVGElement} drawing @param {number[]} rows */
function notesBySystem(drawing, rows) {
  /** @type {Map<Element, SVGGraphicsElement[]>} */
  const systems = new Map();
  for (const row of rows) {
    const note = noteAt(drawing, row);
    const system = note?.closest("g.system");
    if (note && system) systems.set(system, [...(systems.get(system) ?? []), note]);
  }
  return systems.values();
}

/** @param {SVGGraphicsElement[]} notes @param {number} index @param {boolean} hasBeginning */
function stretch(notes, index, hasBeginning) {
  const { left, right, top, bottom } = stretchArea(
    notes.map(headBox),
    notes.map((note) => note.getBBox()),
    staffBox(notes[0]),
  );
  const group = makeSvg("g", { class: "stretch", "data-excursion": index });
  group.append(
    makeSvg("rect", { x: left, y: top, width: right - left, height: bottom - top, rx: 40, class: "stretch-area" }),
    makeSvg("path", { d: `M${left} ${bottom}H${right}`, class: "stretch-edge" }),
  );
  if (hasBeginning) group.append(flag(left - FLAG, bottom, String(index + 1)));
  return group;
}

/** The square with the number of a stretch. @param {number} x @param {number} y @param {string} text */
function flag(x, y, text) {
  const label = { x: x + FLAG / 2, y: y + 1.3 * SPACE, "text-anchor": "middle", "font-size": "250px", text };
  return makeSvg(
    "g",
    { class: "stretch-flag" },
    makeSvg("rect", { x, y, width: FLAG, height: FLAG, rx: 30 }),
    makeSvg("text", label),
  );
}

/** @param {SVGGraphicsElement} note */
function headBox(note) {
  const head = /** @type {SVGGraphicsElement | null} */ (note.querySelector(".notehead"));
  return (head ?? note).getBBox();
}

/** Top and bottom line of the staff on which a note stands. @param {SVGGraphicsElement} note */
function staffBox(note) {
  const lines = [...(note.closest("g.staff")?.children ?? [])].filter((child) => child.tagName === "path");
  const drawn = /** @type {SVGGraphicsElement[]} */ (lines.length ? lines : [note]);
  return staffOf(drawn.map((line) => line.getBBox()));
}

/** @param {SVGGraphicsElement} note @param {Arrival} arrival */
function shiftMark(note, { from, to }) {
  return makeSvg(
    "g",
    { class: "shift-stroke" },
    makeSvg("title", { text: `${positionWord(from)} → ${positionWord(to)}` }),
    makeSvg("path", { d: shiftStroke(headBox(note), from, to) }),
  );
}
