// The way in: drop, choose, paste, or a sample; and which part.

import { button, make } from "/page/dom.js";
import { words } from "/page/words.js";
import * as service from "/page/service.js";

/** Draw the first view into `holder`; `given(score)` gets what was chosen. */
export async function startView(holder, given) {
  const file = make("input", { type: "file", id: "file", accept: ".musicxml,.xml,.mxl,.abc,.krn,.json", class: "hidden-words", change: () => file.files[0] && taken(file.files[0], given) });
  const text = make("textarea", { id: "paste", rows: "7", spellcheck: "false", placeholder: words.start.pasteHint });
  const pieces = make("ul", { class: "pieces" });
  holder.replaceChildren(
    make(
      "div",
      { class: "entrance" },
      make("div", { class: "entrance-lead" }, make("h2", { text: words.start.title }), make("p", { text: words.start.lead })),
      make(
        "div",
        { class: "drop" },
        make("p", { class: "drop-word", text: words.start.drop }),
        make("p", { class: "fine", text: words.start.dropWhat }),
        file,
        make("label", { class: "as-button", for: "file", text: words.start.choose }),
      ),
      make(
        "form",
        { class: "paste", submit: (event) => (event.preventDefault(), pasted(text.value, given)) },
        make("label", { for: "paste", text: words.start.paste }),
        text,
        make("button", { type: "submit", text: words.start.pasteGo }),
      ),
      make("section", { class: "tries" }, make("h3", { text: words.start.samples }), pieces),
      make("p", { class: "fine", text: words.start.privacy }),
    ),
  );
  const order = Object.keys(words.samples);
  const found = (await service.samples()).sort((a, b) => order.indexOf(a.file) - order.indexOf(b.file));
  pieces.append(
    ...found.map(({ file: name, title }) =>
      make("li", {}, button(title, async () => given(await service.sample(name)), { class: "piece-button" }), make("span", { text: words.samples[name] ?? "" })),
    ),
  );
}

async function taken(file, given) {
  given({ name: file.name, data: new Uint8Array(await file.arrayBuffer()) });
}

function pasted(text, given) {
  const isXml = text.trimStart().startsWith("<");
  given({ name: isXml ? "pasted.musicxml" : "pasted.abc", data: new TextEncoder().encode(text), pasted: true });
}

/** Let files be dropped anywhere on the page. */
export function letDrop(given) {
  const root = document.documentElement;
  addEventListener("dragover", (event) => {
    event.preventDefault();
    root.classList.add("dropping");
  });
  addEventListener("dragleave", (event) => event.relatedTarget === null && root.classList.remove("dropping"));
  addEventListener("drop", (event) => {
    event.preventDefault();
    root.classList.remove("dropping");
    const [file] = event.dataTransfer.files;
    if (file) taken(file, given);
  });
}

/** Ask which part to plan; those for the instrument come first. */
export function partView(holder, facts, given, back) {
  const suited = new Set(facts.suited);
  const sorted = [...facts.parts].sort((a, b) => suited.has(b.id) - suited.has(a.id));
  const items = sorted.map((part) =>
    make("li", {}, button(part.name, () => given(part.id), { class: suited.has(part.id) ? "piece-button suited" : "piece-button" }), make("span", { text: part.instrument ? words.parts.notes(part.notes) : words.parts.neither })),
  );
  holder.replaceChildren(
    make(
      "div",
      { class: "entrance narrow" },
      make("h2", { text: words.parts.title }),
      make("p", { text: words.parts.lead(facts.title) }),
      make("ul", { class: "pieces" }, items),
      button(words.parts.back, back),
    ),
  );
}
