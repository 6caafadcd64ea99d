// What is drawn over the engraved music: the stretches away from first position, and the shifts.

import { makeSvg } from "/page/dom.js";
import { ordinal } from "/page/words.js";

const SPACE = 180; // a space of the staff in the units of the picture

/** Shade every stretch of the plan within one picture, and draw its shifts. */
export function shade(drawing, plan) {
  const layer = drawing.querySelector("g.page-margin");
  if (!layer) return;
  plan.excursions.forEach((excursion, index) => {
    let first = true;
    for (const [system, notes] of bySystem(drawing, excursion.rows)) {
      const holdsFirst = first && notes[0].id === `n${excursion.rows[0]}`;
      layer.prepend(stretch(system, notes, index, holdsFirst ? excursion : null));
      first = false;
    }
    for (const arrival of excursion.arrivals) {
      const note = drawing.querySelector(`#n${arrival.rows[0]}`);
      if (note) layer.append(shiftMark(note, arrival));
    }
  });
}

function bySystem(drawing, rows) {
  const found = new Map();
  for (const row of rows) {
    const note = drawing.querySelector(`#n${row}`);
    const system = note?.closest("g.system");
    if (system) found.set(system, [...(found.get(system) ?? []), note]);
  }
  return found;
}

function stretch(system, notes, index, opening) {
  const heads = notes.map((note) => (note.querySelector(".notehead") ?? note).getBBox());
  const whole = notes.map((note) => note.getBBox());
  const staff = staffBox(notes[0]);
  const left = Math.min(...heads.map((box) => box.x)) - 0.9 * SPACE;
  const right = Math.max(...heads.map((box) => box.x + box.width)) + 0.9 * SPACE;
  const top = Math.min(staff.top, ...whole.map((box) => box.y)) - 0.8 * SPACE;
  const bottom = Math.max(staff.bottom, ...whole.map((box) => box.y + box.height)) + 0.8 * SPACE;
  const group = makeSvg("g", { class: "stretch", "data-excursion": index });
  group.append(makeSvg("rect", { x: left, y: top, width: right - left, height: bottom - top, rx: 40, class: "stretch-area" }));
  group.append(makeSvg("path", { d: `M${left} ${bottom}H${right}`, class: "stretch-edge" }));
  if (opening) {
    const text = String(index + 1);
    const flag = makeSvg("g", { class: "stretch-flag" });
    const edge = left - 1.7 * SPACE;
    flag.append(makeSvg("rect", { x: edge, y: bottom, width: 1.7 * SPACE, height: 1.7 * SPACE, rx: 30 }));
    const label = makeSvg("text", { x: edge + 0.85 * SPACE, y: bottom + 1.3 * SPACE, "text-anchor": "middle", "font-size": "250px" });
    label.textContent = text;
    flag.append(label);
    group.append(flag);
  }
  return group;
}

/** Top and bottom line of the staff on which a note stands. */
function staffBox(note) {
  const lines = [...(note.closest("g.staff")?.children ?? [])].filter((child) => child.tagName === "path");
  const boxes = (lines.length ? lines : [note]).map((line) => line.getBBox());
  return { top: Math.min(...boxes.map((b) => b.y)), bottom: Math.max(...boxes.map((b) => b.y + b.height)) };
}

/** A short stroke in front of the note on which the hand arrives: up or down, as the hand goes. */
function shiftMark(note, { from, to }) {
  const head = (note.querySelector(".notehead") ?? note).getBBox();
  const middle = head.y + head.height / 2;
  const rise = to > from ? -0.75 * SPACE : 0.75 * SPACE;
  const x = head.x - 0.35 * SPACE;
  const group = makeSvg("g", { class: "shift-stroke" });
  const title = makeSvg("title");
  title.textContent = `${ordinal(from)} → ${ordinal(to)}`;
  group.append(title, makeSvg("path", { d: `M${x - 1.05 * SPACE} ${middle - rise}L${x} ${middle + rise * 0.1}` }));
  return group;
}
