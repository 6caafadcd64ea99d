// The page: which view is open, and messages.

import * as client from "./api/client.js";
import { isAbort, ServiceError } from "./api/service_error.js";
import { debounce } from "./elements/debounce.js";
import { byId, make } from "./elements/elements.js";
import { fromBase64 } from "./state/bytes.js";
import { isPlanLink, isSavedPlan, readPlanFile, readPlanLink, savedScore } from "./state/saved_plan.js";
import * as state from "./state/session.js";
import { musicxmlName } from "./text/file_names.js";
import { wordAt, words } from "./text/words.js";
import { showParts } from "./views/part_view.js";
import { printPart } from "./views/print_part.js";
import { Rail } from "./views/rail.js";
import { openSaveDialog } from "./views/save_dialog.js";
import { openShareDialog } from "./views/share_dialog.js";
import { acceptDrops, showStart } from "./views/start_view.js";
import { Workbench } from "./views/workbench.js";

/** @import { Facts } from "./api/answers.js" */
/** @import { SavedPlan } from "./state/saved_plan.js" */
/** @import { Score } from "./state/session.js" */

const RESIZE_PAUSE = 250; // milliseconds

const stand = byId("stand");
const message = byId("message");
const title = byId("piece");
let paper = "a4";
/** @type {Workbench | null} */
let workbench = null;
const rail = new Rail({
  another: restart,
  share: () => openShareDialog().catch(showError),
  print: () => print(),
  save: openSave,
});

/** @param {string} text */
function setStatus(text) {
  byId("status").textContent = text;
}

/** @param {unknown} error */
function showError(error) {
  if (isAbort(error)) return;
  message.replaceChildren(make("p", { text: error instanceof Error ? error.message : String(error) }));
  message.classList.add("shown");
}

function clearError() {
  message.textContent = "";
  message.classList.remove("shown");
}

/** Go back to the first view. */
async function restart() {
  workbench?.leave();
  workbench = null;
  state.endSession();
  title.textContent = "";
  rail.close();
  document.body.classList.remove("working");
  await showStart(stand, openInput).catch(showError);
}

/** Open a score or a saved plan that the player has dropped, chosen or pasted. @param {Score} input */
async function openInput(input) {
  clearError();
  try {
    if (input.name.endsWith(".json")) await openPlan(parsePlan(input.data));
    else await openScore(input);
  } catch (error) {
    showError(error);
  }
}

/** @param {Uint8Array} data */
function parsePlan(data) {
  try {
    return readPlanFile(data);
  } catch {
    throw new ServiceError({ detail: words.faults.badPlan });
  }
}

/** @param {unknown} plan */
async function openPlan(plan) {
  if (!isSavedPlan(plan)) throw new ServiceError({ detail: words.faults.badPlan });
  await openScore(plan.sample ? await client.getSample(plan.sample) : savedScore(plan), plan);
}

/** Open a score, and ask for the part if that is not clear. @param {Score} input @param {SavedPlan} [plan] */
async function openScore(input, plan) {
  setStatus(words.score.planning);
  const facts = await client.inspectScore(input);
  const score = facts.converted
    ? { ...input, name: musicxmlName(input.name), data: fromBase64(facts.converted) }
    : input;
  const openPart = (/** @type {string} */ part) => startWork(score, facts, part, plan);
  const parts = candidateParts(facts, plan);
  if (parts.length === 1 || facts.parts.length === 1) return openPart(parts[0]);
  setStatus("");
  showParts(stand, facts, openPart, restart);
  stand.focus();
}

/** The part of a saved plan; else the parts for the instrument; else all. @param {Facts} facts @param {SavedPlan} [plan] */
function candidateParts(facts, plan) {
  if (plan) return [plan.part];
  return facts.suited.length ? facts.suited : facts.parts.map(({ id }) => id);
}

/** @param {Score} score @param {Facts} facts @param {string} part @param {SavedPlan} [plan] */
function startWork(score, facts, part, plan) {
  state.startSession(score, facts, part, plan?.options, plan?.decisions);
  document.body.classList.add("working");
  title.textContent = facts.title || score.name;
  workbench?.leave();
  workbench = new Workbench(stand, { setStatus, showError });
  rail.open(workbench.level, workbench.options);
  workbench.plan(true);
}

const print = () => printPart(paper).catch(showError);

function openSave() {
  const practice = async () => workbench?.practice(paper);
  openSaveDialog({ print, practice, showError }, paper, (choice) => {
    paper = choice;
  });
}

/** Open the plan in the address, if there is one. */
async function openLink() {
  if (!isPlanLink(location.hash)) return false;
  try {
    await openPlan(await readPlanLink(location.hash));
  } catch (error) {
    await restart();
    showError(error instanceof ServiceError ? error : new ServiceError({ detail: words.faults.badLink }));
  }
  return true;
}

state.listen(() => {
  clearError();
  rail.draw();
  workbench?.update();
});

addEventListener("keydown", (event) => {
  const isTyping = event.target instanceof Element && event.target.matches("input, textarea");
  if (!(event.ctrlKey || event.metaKey) || isTyping) return;
  const key = event.key.toLowerCase();
  if (key !== "z" && key !== "y") return;
  event.preventDefault();
  if (key === "y" || event.shiftKey) state.redo();
  else state.undo();
});
addEventListener(
  "resize",
  debounce(() => workbench?.resize(), RESIZE_PAUSE),
);
addEventListener("hashchange", openLink);

for (const element of document.querySelectorAll("[data-word]")) {
  element.textContent = wordAt(/** @type {HTMLElement} */ (element).dataset.word ?? "");
}
acceptDrops(openInput);
if (!(await openLink())) await restart();
document.body.append(make("span", { hidden: true, "data-ready": true }));
