// The part on paper.

import * as client from "../api/client.js";
import { byId, make, picture } from "../elements/elements.js";
import { PAPERS } from "../music/page_layout.js";
import { partRemarks, requestOptions, session } from "../state/session.js";

/** Lay the part out for a sheet, without shades, and print it. @param {string} paper */
export async function printPart(paper) {
  const holder = byId("paper");
  holder.className = paper;
  /** @type {string[]} */
  const pages = [];
  await client.viewPart(session.score, requestOptions(), PAPERS[paper], {
    remarks: partRemarks(),
    page: (text) => pages.push(text),
  });
  holder.replaceChildren(...pages.map((text) => make("div", { class: "leaf" }, withoutIds(picture(text)))));
  await new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve)));
  window.print();
}

/** Remove the ids of notes: a search by id must find the notes on the screen. @param {SVGElement} drawing */
function withoutIds(drawing) {
  for (const note of drawing.querySelectorAll("g.note[id]")) note.removeAttribute("id");
  return drawing;
}
