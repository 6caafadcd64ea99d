// The first view: drop, choose or paste a score, or try a sample.

import * as client from "../api/client.js";
import { button, make } from "../elements/elements.js";
import { signButton } from "../elements/signs.js";
import { forgetWork, recentWorks } from "../storage/work_store.js";
import { pasteName } from "../text/file_names.js";
import { language } from "../text/language.js";
import { words } from "../text/words.js";
import { languageChoice } from "./language_choice.js";

/** @import { Score } from "../state/session.js" */
/** @import { WorkRecord } from "../state/work_record.js" */
/** @typedef {(score: Score) => unknown} OnScore */

const MOST_RECENT = 8; // scores in the list
const ENDINGS = ".musicxml,.xml,.mxl,.abc,.krn,.mei,.mid,.midi,.json";

/**
 * Show the view.
 * @param {HTMLElement} holder
 * @param {OnScore} onScore gets a score
 * @param {(file: string) => unknown} onSample gets the name of a sample
 * @param {(work: WorkRecord) => unknown} onWork gets a score that the browser keeps
 */
export async function showStart(holder, onScore, onSample, onWork) {
  const recent = make("section", { class: "recent", hidden: true });
  const samples = make("ul", { class: "pieces" });
  holder.replaceChildren(
    make(
      "div",
      { class: "entrance" },
      make(
        "div",
        { class: "entrance-lead" },
        make("h2", { text: words.start.title }),
        make("p", { text: words.start.lead }),
      ),
      recent,
      fileArea(onScore),
      pasteForm(onScore),
      make("section", { class: "tries" }, make("h3", { text: words.start.samples }), samples),
      make("p", { class: "fine", text: words.start.privacy }),
      make("div", { class: "entrance-language" }, languageChoice()),
    ),
  );
  await showRecent(recent, onWork);
  samples.append(...(await sampleItems(onSample)));
}

/** Show what the browser keeps, the latest first. @param {HTMLElement} holder @param {(work: WorkRecord) => unknown} onWork */
async function showRecent(holder, onWork) {
  const works = (await recentWorks()).slice(0, MOST_RECENT);
  const date = new Intl.DateTimeFormat(language, { dateStyle: "medium", timeStyle: "short" });
  const items = works.map((work) => {
    const forget = async () => {
      await forgetWork(work.id);
      await showRecent(holder, onWork);
    };
    const text = words.start.recentWhat(date.format(work.changed), work.decisions.length);
    return make(
      "li",
      {},
      button(work.title, () => onWork(work), { class: "piece-button" }),
      make("span", { class: "recent-when", text }),
      signButton("close", words.start.forget(work.title), forget, { word: "hidden" }),
    );
  });
  holder.hidden = items.length === 0;
  holder.replaceChildren(make("h3", { text: words.start.recent }), make("ul", { class: "pieces" }, items));
}

/** @param {OnScore} onScore */
function fileArea(onScore) {
  /** @type {HTMLInputElement} */
  const input = make("input", {
    type: "file",
    id: "file",
    accept: ENDINGS,
    class: "hidden-words",
    change: () => openFile(input.files?.[0], onScore),
  });
  return make(
    "div",
    { class: "drop" },
    make("p", { class: "drop-word", text: words.start.drop }),
    make("p", { class: "fine", text: words.start.dropWhat }),
    input,
    make("label", { class: "as-button", for: "file", text: words.start.choose }),
  );
}

/** @param {OnScore} onScore */
function pasteForm(onScore) {
  const attributes = { id: "paste", rows: "7", spellcheck: "false", placeholder: words.start.pasteHint };
  const input = make("textarea", attributes);
  const submit = (/** @type {SubmitEvent} */ event) => {
    event.preventDefault();
    onScore({ name: pasteName(input.value), data: new TextEncoder().encode(input.value) });
  };
  return make(
    "form",
    { class: "paste", submit },
    make("label", { for: "paste", text: words.start.paste }),
    input,
    make("button", { type: "submit", text: words.start.pasteGo }),
  );
}

/** The samples: those that the page describes come in the order of its texts, others before them. @param {(file: string) => unknown} onSample */
async function sampleItems(onSample) {
  /** @type {Record<string, string>} */
  const texts = words.samples;
  const order = Object.keys(texts);
  const samples = await client.listSamples();
  return samples
    .sort((a, b) => order.indexOf(a.file) - order.indexOf(b.file))
    .map(({ file, title }) => {
      return make(
        "li",
        {},
        button(title, () => onSample(file), { class: "piece-button" }),
        make("span", { text: texts[file] ?? "" }),
      );
    });
}

/** Let files be dropped anywhere on the page. @param {OnScore} onScore */
export function acceptDrops(onScore) {
  const root = document.documentElement;
  addEventListener("dragover", (event) => {
    event.preventDefault();
    root.classList.add("dropping");
  });
  addEventListener("dragleave", (event) => event.relatedTarget === null && root.classList.remove("dropping"));
  addEventListener("drop", (event) => {
    event.preventDefault();
    root.classList.remove("dropping");
    openFile(event.dataTransfer?.files[0], onScore);
  });
}

/** @param {File | undefined} file @param {OnScore} onScore */
async function openFile(file, onScore) {
  if (file) onScore({ name: file.name, data: new Uint8Array(await file.arrayBuffer()) });
}
