// Sharing a plan: a link that holds everything, and a small file.

import { download } from "../elements/download.js";
import { button, field, make } from "../elements/elements.js";
import { planLink, savedPlan } from "../state/saved_plan.js";
import { session } from "../state/session.js";
import { isLocal } from "../text/addresses.js";
import { suffixName } from "../text/file_names.js";
import { words } from "../text/words.js";
import { offer, openOffers } from "./offer.js";
import { midiOffer, saveMarked } from "./save_dialog.js";
import { singleFile } from "./single_file.js";

/** @import { Midi } from "./save_dialog.js" */
/** @import { SharedWork } from "./single_file.js" */

/**
 * @param {() => Promise<SharedWork | null>} work gets what is on the page
 * @param {Midi} midi
 * @param {(error: unknown) => void} showError
 */
export async function openShareDialog(work, midi, showError) {
  const text = words.share;
  const plan = savedPlan(session);
  const file = suffixName(session.score.name, "plan", ".json");
  const save = () => download(file, JSON.stringify(plan), "application/json");
  const page = async () => {
    const shared = await work();
    if (shared) download(suffixName(session.score.name, "plan", ".html"), await singleFile(shared), "text/html");
  };
  const guard = (/** @type {() => Promise<unknown>} */ action) => () =>
    action().catch((error) => {
      dialog.close();
      showError(error);
    });
  const link = await planLink(plan);
  const dialog = openOffers(text.title, [
    offer(text.page, text.pageWhat, guard(page), "main"),
    offer(text.file, text.fileWhat, save),
    offer(text.marked, text.markedWhat, guard(saveMarked)),
    midiOffer(midi),
    ...(link === null ? [make("p", { text: text.linkLong })] : linkOffer(link)),
  ]);
}

/** Offer the link to be copied. @param {string} fragment the end of the link */
function linkOffer(fragment) {
  const text = words.share;
  const link = new URL(fragment, location.href).href;
  /** @type {HTMLInputElement} */
  const input = make("input", { id: "link", readonly: true, value: link, focus: () => input.select() });
  const status = make("span", { role: "status" });
  const copy = button(text.copy, async () => {
    input.select();
    // Without leave to use the clipboard the older command copies what is selected.
    await navigator.clipboard?.writeText(link).catch(() => document.execCommand("copy"));
    status.textContent = text.copied;
  });
  const wide = field(text.link, input);
  wide.classList.add("wide");
  return [
    wide,
    make("p", { class: "fine", text: isLocal(location.hostname) ? text.local : text.linkWhat }),
    make("div", { class: "offer" }, copy, status),
  ];
}
