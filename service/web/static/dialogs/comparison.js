// The bars of a stretch twice, one above the other: in first position and as planned.

import * as client from "../api/client.js";
import { openDialog } from "../elements/dialog.js";
import { make, picture } from "../elements/elements.js";
import { signButton } from "../elements/signs.js";
import { comparisonLayout } from "../music/page_layout.js";
import { requestOptions, session } from "../state/session.js";
import { barLabels } from "../text/bar_list.js";
import { words } from "../text/words.js";

/** @import { PlanView } from "../api/answers.js" */

const EDGES = 48; // pixels that the dialog leaves free beside the music
const WIDEST = 1152; // pixels

/**
 * Show some bars in both forms.
 * @param {PlanView} plan
 * @param {number[]} measures indexes of the first and the last bar
 * @param {(form: "home" | "plan") => void} onPlay
 * @param {() => void} onClose
 */
export async function openComparison(plan, measures, onPlay, onClose) {
  const bars = barLabels(plan, measures);
  const width = Math.min(innerWidth, WIDEST) - EDGES;
  const options = { ...requestOptions(), measures: bars };
  const pictures = await client.compareBars(session.score, options, comparisonLayout(width));
  const figure = (/** @type {"home" | "plan"} */ form) => {
    const text = words.compare[form];
    const music = make("div", { role: "img", "aria-label": `${text}: ${bars}` }, pictures[form].map(picture));
    const play = signButton("play", words.compare.play(text), () => onPlay(form), { word: "hidden" });
    return make("figure", { class: `form ${form}` }, make("figcaption", {}, play, text), music);
  };
  const close = signButton("close", words.compare.close, () => dialog.close(), { word: "hidden" });
  const content = [
    make("div", { class: "both-head" }, make("h2", { id: "both-title", text: words.compare.title(bars) }), close),
    figure("home"),
    figure("plan"),
  ];
  const dialog = openDialog({ class: "slip both", "aria-labelledby": "both-title" }, content, onClose);
  for (const row of pictures.differs) markNote(dialog, row);
}

/** Let a note that is taken otherwise, and its finger, stand out in both forms. @param {HTMLElement} dialog @param {number} row */
function markNote(dialog, row) {
  for (const form of ["home", "plan"]) {
    const note = dialog.querySelector(`#${form}-n${row}`);
    const head = note?.querySelector(".notehead")?.getBoundingClientRect();
    if (!note || !head) continue;
    note.classList.add("differs");
    for (const finger of note.closest("g.measure")?.querySelectorAll("g.fing") ?? []) {
      if (isAbove(finger.getBoundingClientRect(), head)) finger.classList.add("differs");
    }
  }
}

/** Return whether a finger stands over, or under, a note head. @param {DOMRect} finger @param {DOMRect} head */
const isAbove = (finger, head) =>
  Math.abs(finger.x + finger.width / 2 - head.x - head.width / 2) < Math.max(head.width, finger.width) / 2;
