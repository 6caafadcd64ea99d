// The practice sheet: exercises for the shifts of this plan, to read, to print, to take along.

import { button, make } from "/page/dom.js";
import { words } from "/page/words.js";
import { requestOptions, state } from "/page/store.js";
import * as service from "/page/service.js";
import { download, suffixed } from "/page/take.js";

/** Show the sheet over the part; `fault` shows what goes wrong. */
export async function practiceView(bench, paper, fault) {
  const say = words.practice;
  const text = await service.practicePage(state.score, requestOptions(), paper);
  const page = new DOMParser().parseFromString(text.replace(/<style>.*?<\/style>/s, ""), "text/html");
  const sheet = make("div", { class: `practice-sheet ${paper}` }, ...[...page.body.childNodes].map((node) => document.importNode(node, true)));
  for (const heading of [...sheet.querySelectorAll("h1, h2, h3")]) lower(heading);
  const score = () => service.practice(state.score, requestOptions()).then((data) => download(suffixed(state.score.name, "practice", ".musicxml"), data));
  const view = make(
    "section",
    { class: "practice", "aria-label": say.title, tabindex: "0" },
    make(
      "div",
      { class: "practice-acts" },
      button(say.back, leave, { class: "main" }),
      button(say.print, () => print()),
      button(say.score, () => score().catch(fault)),
    ),
    sheet,
  );
  bench.hidden = true;
  bench.after(view);
  view.querySelector("button").focus();

  function leave() {
    view.remove();
    bench.hidden = false;
    document.getElementById("take")?.focus();
  }

  function print() {
    const holder = document.getElementById("paper");
    holder.className = "";
    holder.replaceChildren(sheet.cloneNode(true));
    window.print();
    holder.replaceChildren();
  }
}

/** The page has its own first heading: those of the sheet stand one level below. */
function lower(heading) {
  const level = Number(heading.tagName.slice(1)) + 1;
  heading.replaceWith(make(`h${level}`, { class: `sheet-${heading.tagName.toLowerCase()}` }, ...heading.childNodes));
}
