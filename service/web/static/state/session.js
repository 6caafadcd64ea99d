// The score at hand with its options and decisions. Every change can be undone.

import { pinsOf, remarksOf, replaceDecision } from "./decisions.js";
import { History } from "./history.js";
import { DEFAULTS, presentOptions, setOptions } from "./option_values.js";
import { WHOLE_SHEET } from "./sheet_choices.js";

/** @import { Facts } from "../api/answers.js" */
/** @import { Decision } from "./decisions.js" */
/** @import { OptionValues } from "./option_values.js" */
/** @import { SheetChoices } from "./sheet_choices.js" */
/**
 * @typedef {object} Score
 * @property {string} name file name
 * @property {Uint8Array<ArrayBuffer>} data
 * @property {string} [sample] file name of a sample
 */
/**
 * @typedef {object} Session
 * @property {Score} score
 * @property {Facts} facts what the service says about the score
 * @property {string} part id of the part at hand
 * @property {OptionValues} options
 * @property {Decision[]} decisions
 * @property {number | null} place row of the note at hand, for the next visit
 * @property {SheetChoices} sheet
 */

/** @type {Score} */
const NO_SCORE = { name: "", data: new Uint8Array() };
/** @type {Facts} */
const NO_FACTS = { kind: "", title: "", composer: "", parts: [], suited: [], converted: null, remarks: [], tunes: [] };

const history = new History();
/** @type {Set<() => void>} */
const listeners = new Set();
/** @type {Set<() => void>} */
const sheetListeners = new Set();

/** @type {Session} */
export const session = {
  score: NO_SCORE,
  facts: NO_FACTS,
  part: "",
  options: { ...DEFAULTS },
  decisions: [],
  place: null,
  sheet: WHOLE_SHEET,
};

/** Call `listener` after every change. @param {() => void} listener */
export const listen = (listener) => listeners.add(listener);

/** Call `listener` after every change of the practice sheet. @param {() => void} listener */
export const listenToSheet = (listener) => sheetListeners.add(listener);

/** Choose what stands on the practice sheet. @param {SheetChoices} sheet */
export function chooseSheet(sheet) {
  session.sheet = sheet;
  for (const listener of sheetListeners) listener();
}

/**
 * Start with a score; what came before cannot be undone.
 * @param {Score} score
 * @param {Facts} facts
 * @param {string} part
 * @param {Partial<OptionValues>} [options]
 * @param {Decision[]} [decisions]
 * @param {number | null} [place]
 * @param {Partial<SheetChoices>} [sheet]
 */
export function startSession(score, facts, part, options = {}, decisions = [], place = null, sheet = {}) {
  const changed = { options: { ...DEFAULTS, ...presentOptions(options) }, sheet: { ...WHOLE_SHEET, ...sheet } };
  Object.assign(session, { score, facts, part, decisions, place, ...changed });
  history.clear();
}

export function endSession() {
  startSession(NO_SCORE, NO_FACTS, "");
}

/** Change options, part or decisions; a change to the same values is none. @param {(session: Session) => void} edit */
export function change(edit) {
  const before = snapshot();
  edit(session);
  if (snapshot() === before) return;
  history.record(before);
  notify();
}

/** Plan for a level, with the positions that belong to it. @param {string} level */
export function setLevel(level) {
  change((now) => {
    now.options.level = level;
    now.options.positions = "";
  });
}

export const canUndo = () => history.canUndo;
export const canRedo = () => history.canRedo;
export const undo = () => restore(history.undo(snapshot()));
export const redo = () => restore(history.redo(snapshot()));

/** @param {Decision} decision */
export function addDecision(decision) {
  change((now) => {
    now.decisions = replaceDecision(now.decisions, decision);
  });
}

/** @param {Decision} decision */
export function removeDecision(decision) {
  change((now) => {
    now.decisions = now.decisions.filter((other) => other !== decision);
  });
}

/** The remarks at the part at hand, by rows of the plan. */
export const partRemarks = () => remarksOf(session.decisions, session.part);

/** The options as the service reads them. @param {string[]} [parts] other parts than the one at hand */
export function requestOptions(parts = [session.part]) {
  const base = { part: parts, instrument: instrumentOf(parts[0]) };
  return { ...base, ...setOptions(session.options), pin: pinsOf(session.decisions) };
}

/** The instrument of a part; violin if the score names none. @param {string} part */
export function instrumentOf(part) {
  return partNamed(part)?.instrument ?? "violin";
}

/** The parts for the same instrument as the part at hand, by id. */
export function partsAlike() {
  const instrument = instrumentOf(session.part);
  return session.facts.parts.filter((part) => part.instrument === instrument).map(({ id }) => id);
}

/** @param {string} part */
export const partName = (part) => partNamed(part)?.name ?? part;

/** @param {string} part */
const partNamed = (part) => session.facts.parts.find(({ id }) => id === part);

const snapshot = () => JSON.stringify({ options: session.options, decisions: session.decisions, part: session.part });

/** @param {string | null} text */
function restore(text) {
  if (text === null) return;
  Object.assign(session, JSON.parse(text));
  notify();
}

function notify() {
  for (const listener of listeners) listener();
}
