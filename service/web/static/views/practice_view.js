// The practice sheet: exercises for the shifts of this plan, to read, to print or to save.

import * as client from "../api/client.js";
import { download } from "../elements/download.js";
import { button, byId, make } from "../elements/elements.js";
import { requestOptions, session } from "../state/session.js";
import { suffixName } from "../text/file_names.js";
import { words } from "../text/words.js";

/**
 * Show the sheet in the place of the part.
 * @param {HTMLElement} bench
 * @param {string} paper
 * @param {(error: unknown) => void} showError
 */
export async function showPractice(bench, paper, showError) {
  const text = words.practice;
  const sheet = practiceSheet(await client.practicePage(session.score, requestOptions(), paper), paper);
  const back = button(text.back, leave, { class: "main" });
  const view = make(
    "section",
    { class: "practice", "aria-label": text.title, tabindex: "0" },
    make(
      "div",
      { class: "practice-acts" },
      back,
      button(text.print, () => print(sheet)),
      button(text.score, () => saveScore().catch(showError)),
    ),
    sheet,
  );
  bench.hidden = true;
  bench.after(view);
  back.focus();

  function leave() {
    view.remove();
    bench.hidden = false;
    document.getElementById("save")?.focus();
  }
}

/** The sheet from the service's HTML, without its styles: the page has its own. @param {string} html @param {string} paper */
function practiceSheet(html, paper) {
  const page = new DOMParser().parseFromString(html.replace(/<style>.*?<\/style>/s, ""), "text/html");
  const nodes = [...page.body.childNodes].map((node) => document.importNode(node, true));
  const sheet = make("div", { class: `practice-sheet ${paper}` }, ...nodes);
  for (const heading of sheet.querySelectorAll("h1, h2, h3")) lower(heading);
  return sheet;
}

/** Lower a heading by one level, since the page has a first heading of its own. @param {Element} heading */
function lower(heading) {
  const level = Number(heading.tagName.slice(1)) + 1;
  const tag = /** @type {"h2" | "h3" | "h4"} */ (`h${level}`);
  heading.replaceWith(make(tag, { class: `sheet-${heading.tagName.toLowerCase()}` }, ...heading.childNodes));
}

/** @param {HTMLElement} sheet */
function print(sheet) {
  const holder = byId("paper");
  holder.className = "";
  holder.replaceChildren(sheet.cloneNode(true));
  window.print();
  holder.replaceChildren();
}

async function saveScore() {
  const data = await client.practiceScore(session.score, requestOptions());
  download(suffixName(session.score.name, "practice", ".musicxml"), data);
}
