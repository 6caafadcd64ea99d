// The requests to the service, all to the address that the page came from.

import { language } from "../text/language.js";
import { words } from "../text/words.js";
import { readJsonLines } from "./json_lines.js";
import { isAbort, ServiceError } from "./service_error.js";

/** @import { Score } from "../state/session.js" */
/** @import { Comparison, Facts, NoteChoice, PartReview, PlanView, Problem, Sample, ViewLine } from "./answers.js" */
/** @import { Layout } from "../music/page_layout.js" */
/** @typedef {Record<string, unknown>} RequestOptions */

/**
 * Send a request; GET without a body, POST with one.
 * @param {string} path
 * @param {FormData} [body]
 * @param {AbortSignal} [signal]
 */
async function send(path, body, signal) {
  let answer;
  try {
    const headers = { "Accept-Language": language };
    answer = await fetch(path, body === undefined ? { headers, signal } : { method: "POST", body, headers, signal });
  } catch (error) {
    if (isAbort(error)) throw error;
    throw new ServiceError({ detail: words.faults.connection });
  }
  if (!answer.ok) {
    const problem = /** @type {Problem} */ (await answer.json().catch(() => ({})));
    throw new ServiceError({ ...problem, detail: problem.detail ?? `${answer.status} ${answer.statusText}` });
  }
  return answer;
}

/**
 * Send a request whose answer is JSON.
 * @param {string} path
 * @param {FormData} [body]
 * @param {AbortSignal} [signal]
 * @returns {Promise<any>}
 */
const sendForJson = async (path, body, signal) => (await send(path, body, signal)).json();

/**
 * @param {Score} score
 * @param {RequestOptions} options
 * @param {Layout} [layout]
 * @param {Record<string, string>} [remarks] by rows of the plan
 */
function form(score, options, layout, remarks) {
  const body = new FormData();
  body.set("score", new Blob([score.data]), score.name);
  body.set("options", JSON.stringify(options));
  if (layout) body.set("layout", JSON.stringify(layout));
  if (remarks && Object.keys(remarks).length) body.set("remarks", JSON.stringify(remarks));
  return body;
}

/** @returns {Promise<Sample[]>} */
export const listSamples = () => sendForJson("/page/samples");

/** @param {string} file @returns {Promise<Score>} */
export async function getSample(file) {
  const answer = await send(`/page/samples/${encodeURIComponent(file)}`);
  return { name: file, data: new Uint8Array(await answer.arrayBuffer()), sample: file };
}

/**
 * Ask what is in a score: kind, title, parts, tunes.
 * @param {Score} score
 * @param {string} [tune] number of a tune in a collection
 * @param {AbortSignal} [signal]
 * @returns {Promise<Facts>}
 */
export const inspectScore = (score, tune, signal) =>
  sendForJson("/page/open", form(score, tune ? { tune } : {}), signal);

/**
 * Plan a part. The music comes page by page, the plan after the first pages, and the review last.
 * @param {Score} score
 * @param {RequestOptions} options
 * @param {Layout} layout
 * @param {object} handlers
 * @param {(plan: PlanView) => void} [handlers.plan]
 * @param {(picture: string, done: number) => void} handlers.page gets how much of the music is drawn, from 0 to 1
 * @param {(review: PartReview) => void} [handlers.review]
 * @param {Record<string, string>} [handlers.remarks] drawn at notes, by rows of the plan
 * @param {AbortSignal} [handlers.signal] stops the request
 */
export async function viewPart(score, options, layout, { plan = () => {}, page, review = () => {}, remarks, signal }) {
  const answer = await send("/page/view", form(score, options, layout, remarks), signal);
  let isComplete = false;
  for await (const value of answer.body ? readJsonLines(answer.body) : []) {
    const line = /** @type {ViewLine} */ (value);
    if (line.type === "plan") plan(line.plan);
    else if (line.type === "page") page(line.picture, line.piece / line.pieces);
    else if (line.type === "fault") throw new ServiceError(line.fault);
    else {
      review(line.review.parts[0]);
      isComplete = true;
    }
  }
  if (!isComplete) throw new ServiceError({ detail: words.faults.connection });
}

/**
 * Get the bars named in the options in both forms: in first position, and as planned.
 * @param {Score} score
 * @param {RequestOptions} options
 * @param {Layout} layout
 * @returns {Promise<Comparison>}
 */
export const compareBars = (score, options, layout) => sendForJson("/page/compare", form(score, options, layout));

/**
 * Get the ways to take one note, a row of the plan.
 * @param {Score} score
 * @param {RequestOptions} options
 * @param {number} row
 * @returns {Promise<NoteChoice[]>}
 */
export const noteChoices = async (score, options, row) =>
  (await sendForJson(`/page/note?row=${row}`, form(score, options))).choices;

/** Get the review of the part at hand. @param {Score} score @param {RequestOptions} options @returns {Promise<PartReview>} */
export const reviewScore = async (score, options) => (await sendForJson("/review", form(score, options))).parts[0];

/** Get the marked score. @param {Score} score @param {RequestOptions} options */
export const annotateScore = async (score, options) => (await send("/annotate", form(score, options))).arrayBuffer();

/**
 * Get the practice sheet as a file: MusicXML, or MIDI with `format=midi`.
 * @param {Score} score
 * @param {RequestOptions} options
 * @param {URLSearchParams} query
 */
export const practiceFile = async (score, options, query) =>
  (await send(`/practice?${query}`, form(score, options))).arrayBuffer();

/**
 * Get the practice sheet as HTML.
 * @param {Score} score
 * @param {RequestOptions} options
 * @param {URLSearchParams} query
 */
export const practicePage = async (score, options, query) =>
  (await send(`/practice?${query}`, form(score, options))).text();

/** @param {Record<string, string>} query */
export const chartAddress = (query) => `/chart.svg?${new URLSearchParams(query)}`;

/** Get a picture of the fingerboard as SVG. @param {Record<string, string>} query */
export const chart = async (query) => (await send(chartAddress(query))).text();

/** Get the review as text. @param {Score} score @param {RequestOptions} options */
export const reportText = async (score, options) => (await send("/page/report", form(score, options))).text();
