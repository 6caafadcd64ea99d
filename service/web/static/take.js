// Taking the work away: the marked score, the report, the practice sheet, paper; and a link or a file to go on from.

import { button, choice, make } from "/page/dom.js";
import { words } from "/page/words.js";
import { instrumentOf, linked, requestOptions, saved, state } from "/page/store.js";
import * as service from "/page/service.js";

/** The name of a file with a suffix before its ending: same name, same kind. */
export function suffixed(name, suffix, ending = null) {
  const dot = name.lastIndexOf(".");
  const stem = dot > 0 ? name.slice(0, dot) : name;
  return `${stem}.${suffix}${ending ?? (dot > 0 ? name.slice(dot) : ".musicxml")}`;
}

export function download(name, data, type = "application/octet-stream") {
  const address = URL.createObjectURL(new Blob([data], { type }));
  const link = make("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}

export function slip(title, ...content) {
  const close = button(words.take.close, () => dialog.close(), { class: "slip-close" });
  const dialog = make("dialog", { class: "slip", "aria-labelledby": "slip-title" }, make("h2", { id: "slip-title", text: title }), ...content, make("div", { class: "slip-acts" }, close));
  dialog.addEventListener("close", () => dialog.remove());
  document.getElementById("sheets").append(dialog);
  dialog.showModal();
  return dialog;
}

/** The sheet "Take away"; `on` prints, shows the practice sheet, and shows faults. */
export function takeSheet(on, paper) {
  const say = words.take;
  const instrument = instrumentOf(state.part);
  const alike = state.facts.parts.filter((part) => part.instrument === instrument).map(({ id }) => id);
  const name = state.facts.parts.find(({ id }) => id === state.part)?.name ?? state.part;
  let parts = [state.part];
  const tried = (act) => async () => {
    try {
      await act();
    } catch (fault) {
      dialog.close();
      on.fault(fault);
    }
  };
  const marked = suffixed(state.score.name, "marked");
  const dialog = slip(
    say.title,
    alike.length > 1
      ? choice(say.parts, [["this", say.thisPart(name)], ["all", say.allParts(instrument)]], "this", (which) => (parts = which === "all" ? alike : [state.part]))
      : "",
    offer(say.marked, say.markedWhat(marked), tried(async () => download(marked, await service.annotate(state.score, requestOptions(parts)))), "main"),
    offer(say.report, say.reportWhat, tried(async () => download(suffixed(state.score.name, "review", ".txt"), await service.report(state.score, requestOptions()), "text/plain"))),
    offer(say.practice, say.practiceWhat, tried(async () => {
      await on.practice();
      dialog.close();
    })),
    choice(say.paper, Object.entries(say.papers), paper.value, (value) => (paper.value = value)),
    button(say.print, () => (dialog.close(), on.print())),
  );
}

function offer(title, text, act, kind = "") {
  return make("div", { class: "offer" }, button(title, act, { class: kind }), make("p", { class: "fine", text }));
}

/** The sheet "Share": a link that holds everything, and a small file. */
export async function shareSheet() {
  const say = words.share;
  const fragment = await linked();
  const file = suffixed(state.score.name, "plan", ".json");
  const parts = [];
  if (fragment === null) parts.push(make("p", { text: say.linkLong }));
  else {
    history.replaceState(null, "", fragment);
    const field = make("input", { id: "link", readonly: true, value: location.href, focus: (event) => event.target.select() });
    const copied = make("span", { role: "status" });
    const copy = button(say.copy, async () => {
      field.select();
      await navigator.clipboard?.writeText(location.href).catch(() => document.execCommand("copy"));
      copied.textContent = say.copied;
    });
    parts.push(make("label", { class: "field wide" }, make("span", { text: say.link }), field), make("p", { class: "fine", text: say.linkWhat }), make("div", { class: "offer" }, copy, copied));
  }
  parts.push(offer(say.file, say.fileWhat, () => download(file, JSON.stringify(saved()), "application/json")));
  slip(say.title, ...parts);
}
