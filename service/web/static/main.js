// The page: which view is open, and the address of what is shown.

import * as client from "./api/client.js";
import { ServiceError } from "./api/service_error.js";
import { askBeforeLoss } from "./dialogs/loss_dialog.js";
import { openSaveDialog } from "./dialogs/save_dialog.js";
import { openShareDialog } from "./dialogs/share_dialog.js";
import { debounce } from "./elements/debounce.js";
import { byId, make } from "./elements/elements.js";
import { fromBase64 } from "./state/bytes.js";
import { isPlanLink, isSavedPlan, readPlanFile, readPlanLink, savedScore } from "./state/saved_plan.js";
import * as state from "./state/session.js";
import { session } from "./state/session.js";
import { scoreId, workAddress, workId, workRecord } from "./state/work_record.js";
import { keepWork, loadWork } from "./storage/work_store.js";
import { musicxmlName } from "./text/file_names.js";
import { wordAt, words } from "./text/words.js";
import { showParts, showTunes } from "./views/choice_view.js";
import { clearError, endProgress, setStatus, showError, showProgress, showRemarks } from "./views/messages.js";
import { printPart } from "./views/print_part.js";
import { Rail } from "./views/rail.js";
import { acceptDrops, showStart } from "./views/start_view.js";
import { Workbench } from "./views/workbench.js";

/** @import { Facts } from "./api/answers.js" */
/** @import { SavedPlan } from "./state/saved_plan.js" */
/** @import { WorkRecord } from "./state/work_record.js" */
/** @import { Score } from "./state/session.js" */
/** @typedef {Pick<SavedPlan, "part" | "options" | "decisions" | "sheet"> & { place?: number | null }} EarlierWork */

const RESIZE_PAUSE = 250; // milliseconds

const stand = byId("stand");
const title = byId("piece");
let paper = "a4";
let isKept = true; // whether the browser keeps the work at hand
/** @type {Workbench | null} */
let workbench = null;
/** @type {AbortController | null} */
let opening = null;

const rail = new Rail({
  another: () => askBeforeLoss(!isKept && session.decisions.length > 0, leave),
  share: () => openShareDialog(async () => workbench?.sharedWork() ?? null, midi, showError).catch(showError),
  print: () => print(),
  save: openSave,
});

/** Leave the score for the first view. */
function leave() {
  history.pushState(null, "", location.pathname);
  showFirstView();
}

async function showFirstView() {
  opening?.abort();
  workbench?.leave();
  workbench = null;
  state.endSession();
  title.textContent = "";
  document.title = words.name;
  rail.close();
  endProgress();
  clearError();
  document.body.classList.remove("working");
  await showStart(stand, openInput, openSample, openWork).catch((error) => showError(error, showFirstView));
}

/** Show an error with a way to do the same again. @param {() => Promise<unknown>} action */
async function attempt(action) {
  clearError();
  try {
    await action();
  } catch (error) {
    showError(error, () => attempt(action));
  }
}

/** Open a score or a saved plan that the player has dropped, chosen or pasted. @param {Score} input */
const openInput = (input) =>
  attempt(() => (input.name.endsWith(".json") ? openPlan(parsePlan(input.data)) : openScore(input)));

/** Open a sample score. @param {string} file */
const openSample = (file) => attempt(async () => openScore(await client.getSample(file)));

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

/** Open a score as the browser keeps it. @param {WorkRecord} work */
const openWork = (work) => attempt(() => openScore(work.score, work));

/**
 * Open a score, and ask for the tune and the part if they are not clear. What was decided about the same score before
 * comes back.
 * @param {Score} input
 * @param {EarlierWork} [earlier]
 * @param {string} [tune]
 */
async function openScore(input, earlier, tune) {
  opening?.abort();
  opening = new AbortController();
  const { signal } = opening;
  showProgress(words.progress.reading(input.name), { cancel: stopOpening });
  const facts = await client.inspectScore(input, tune, signal);
  if (facts.tunes.length > 1 && !tune) {
    endProgress();
    showTunes(stand, facts.tunes, (chosen) => attempt(() => openScore(input, earlier, chosen)), showFirstView);
    toTop();
    return;
  }
  const score = facts.converted
    ? { ...input, name: musicxmlName(input.name), data: fromBase64(facts.converted) }
    : input;
  const work = earlier ?? (await loadWork(scoreId(score.data)));
  if (signal.aborted) return;
  const openPart = (/** @type {string} */ part) => {
    startWork(score, facts, part, work ?? undefined);
    showRemarks(facts.remarks);
  };
  const parts = candidateParts(facts, work);
  if (parts.length === 1 || facts.parts.length === 1) return openPart(parts[0]);
  endProgress();
  showParts(stand, facts, openPart, showFirstView);
  toTop();
}

/** Begin a new view at its top, for the eye and for the keyboard. */
function toTop() {
  stand.focus({ preventScroll: true });
  scrollTo(0, 0);
}

function stopOpening() {
  opening?.abort();
  endProgress();
  setStatus("");
}

/** The part of earlier work; else the parts for the instrument; else all. @param {Facts} facts @param {EarlierWork | null} work */
function candidateParts(facts, work) {
  if (work) return [work.part];
  return facts.suited.length ? facts.suited : facts.parts.map(({ id }) => id);
}

/** @param {Score} score @param {Facts} facts @param {string} part @param {EarlierWork} [work] */
function startWork(score, facts, part, work) {
  state.startSession(score, facts, part, work?.options, work?.decisions, work?.place, work?.sheet);
  const address = workAddress(scoreId(score.data));
  if (isPlanLink(location.hash)) history.replaceState(null, "", address);
  else if (location.hash !== address) history.pushState(null, "", address);
  document.body.classList.add("working");
  title.textContent = facts.title || score.name;
  document.title = `${title.textContent} · ${words.name}`;
  workbench?.leave();
  workbench = new Workbench(stand, moveTo);
  rail.open(workbench.level, workbench.options);
  keep();
  workbench.plan(true);
}

/** Keep the work in the browser. */
async function keep() {
  if (session.part) isKept = await keepWork(workRecord(session, Date.now()));
}

/** Remember where the player is. @param {number | null} row */
function moveTo(row) {
  if (session.place === row) return;
  session.place = row;
  keep();
}

const midi = () => workbench?.midi() ?? null;
const print = () => attempt(() => printPart(paper));

function openSave() {
  const practice = async () => workbench?.practice(paper);
  openSaveDialog({ print, practice, midi, showError }, paper, (choice) => {
    paper = choice;
  });
}

/** Show what the address says: a plan in a link, a score that the browser keeps, or the first view. */
async function followAddress() {
  const id = workId(location.hash);
  if (isPlanLink(location.hash)) return openLink();
  if (id === null) return showFirstView();
  if (workbench && id === scoreId(session.score.data)) return;
  const work = await loadWork(id);
  if (work) return openWork(work);
  history.replaceState(null, "", location.pathname);
  await showFirstView();
  showError(new ServiceError({ detail: words.faults.forgotten }));
}

async function openLink() {
  try {
    await openPlan(await readPlanLink(location.hash));
  } catch (error) {
    await showFirstView();
    showError(
      error instanceof ServiceError ? error : new ServiceError({ detail: words.faults.badLink }),
      followAddress,
    );
  }
}

state.listenToSheet(keep);
state.listen(() => {
  clearError();
  keep();
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
addEventListener("popstate", followAddress);
addEventListener("beforeunload", (event) => {
  if (!isKept && session.decisions.length) event.preventDefault();
});

for (const element of document.querySelectorAll("[data-word]")) {
  element.textContent = wordAt(/** @type {HTMLElement} */ (element).dataset.word ?? "");
}
acceptDrops(openInput);
await followAddress();
document.body.append(make("span", { hidden: true, "data-ready": true }));
