// A plan as a file or a link: the score, the options that differ from their defaults, and the decisions.

import { compress, decompress, fromBase64, fromLinkText, toBase64, toLinkText } from "./bytes.js";
import { changedOptions } from "./option_values.js";
import { changedChoices } from "./sheet_choices.js";

/** @import { Decision } from "./decisions.js" */
/** @import { OptionValues } from "./option_values.js" */
/** @import { Score, Session } from "./session.js" */
/** @import { SheetChoices } from "./sheet_choices.js" */
/**
 * @typedef {object} SavedPlan
 * @property {number} handframe version of the format
 * @property {string} name file name of the score
 * @property {string} part
 * @property {Partial<OptionValues>} options
 * @property {Decision[]} decisions
 * @property {Partial<SheetChoices>} [sheet] what differs from the whole practice sheet
 * @property {string} [sample] file name of a sample, instead of `score`
 * @property {string} [score] the score in base64
 */

const FORMAT = 1;
const LONGEST_LINK = 60000; // characters
const LINK_START = "#plan=";

/** The session as plain data; a sample is named, any other score is part of the data. @param {Session} session @returns {SavedPlan} */
export function savedPlan({ score, part, options, decisions, sheet }) {
  const choices = changedChoices(sheet);
  const more = Object.keys(choices).length ? { sheet: choices } : {};
  const plan = { handframe: FORMAT, name: score.name, part, options: changedOptions(options), decisions, ...more };
  return score.sample ? { ...plan, sample: score.sample } : { ...plan, score: toBase64(score.data) };
}

/** Return whether data has the form of a saved plan. @param {unknown} data @returns {data is SavedPlan} */
export function isSavedPlan(data) {
  const plan = /** @type {Partial<SavedPlan> | null | undefined} */ (data);
  return plan?.handframe === FORMAT && Boolean(plan.sample || plan.score);
}

/** The score inside a saved plan. @param {SavedPlan} plan @returns {Score} */
export const savedScore = (plan) => ({ name: plan.name, data: fromBase64(plan.score ?? "") });

/** The part of a link after the address, or null if it would be too long. @param {SavedPlan} plan */
export async function planLink(plan) {
  const text = toLinkText(await compress(new TextEncoder().encode(JSON.stringify(plan))));
  return text.length > LONGEST_LINK ? null : `${LINK_START}${text}`;
}

/** @param {string} fragment */
export const isPlanLink = (fragment) => fragment.startsWith(LINK_START);

/** Read what `planLink` wrote; throws if it is damaged. @param {string} fragment @returns {Promise<unknown>} */
export async function readPlanLink(fragment) {
  return readPlanFile(await decompress(fromLinkText(fragment.replace(LINK_START, ""))));
}

/** Read a saved file; throws if it is not JSON. @param {Uint8Array} bytes @returns {unknown} */
export const readPlanFile = (bytes) => JSON.parse(new TextDecoder().decode(bytes));
