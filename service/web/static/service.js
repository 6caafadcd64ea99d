// Everything that is asked of the service; all of it on this origin.

import { words } from "/page/words.js";

/** A fault with the words of the service: what, where, and what to do. */
export class Fault extends Error {
  constructor({ detail, where = null, advice = "", code = "" }) {
    super([detail, where && words.faults.where(where), advice].filter(Boolean).join(" "));
    this.code = code;
  }
}

async function ask(path, body, signal) {
  let answer;
  try {
    answer = await fetch(path, body === undefined ? { signal } : { method: "POST", body, signal });
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Fault({ detail: words.faults.connection });
  }
  if (!answer.ok) {
    const problem = await answer.json().catch(() => ({}));
    throw new Fault({ ...problem, detail: problem.detail ?? `${answer.status} ${answer.statusText}` });
  }
  return answer;
}

function form(score, options, layout) {
  const body = new FormData();
  body.set("score", new Blob([score.data]), score.name);
  body.set("options", JSON.stringify(options));
  if (layout) body.set("layout", JSON.stringify(layout));
  return body;
}

export const samples = async () => (await ask("/page/samples")).json();

export async function sample(file) {
  const answer = await ask(`/page/samples/${encodeURIComponent(file)}`);
  return { name: file, data: new Uint8Array(await answer.arrayBuffer()), sample: file };
}

/** Say what is in a score: kind, title, parts. */
export const open = async (score) => (await ask("/page/open", form(score, {}))).json();

/** Plan a part: first the plan comes, then page by page the music, then the review. */
export async function view(score, options, layout, { plan = () => {}, page, review = () => {}, signal }) {
  const answer = await ask("/page/view", form(score, options, layout), signal);
  const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  let ended = false;
  for (;;) {
    const { value, done } = await reader.read();
    if (done) break;
    const lines = (rest + value).split("\n");
    rest = lines.pop();
    for (const line of lines) {
      const said = JSON.parse(line);
      if (said.type === "plan") plan(said.plan);
      else if (said.type === "page") page(said.picture);
      else if (said.type === "fault") throw new Fault(said.fault);
      else {
        review(said.review.parts[0]);
        ended = true;
      }
    }
  }
  if (!ended) throw new Fault({ detail: words.faults.connection });
}

export const compare = async (score, options, layout) => (await ask("/page/compare", form(score, options, layout))).json();
export const annotate = async (score, options) => (await ask("/annotate", form(score, options))).arrayBuffer();
export const practice = async (score, options) => (await ask("/practice", form(score, options))).arrayBuffer();
export const practicePage = async (score, options, paper) => (await ask(`/practice?format=page&paper=${paper}`, form(score, options))).text();
export const chart = async (query) => (await ask(`/chart.svg?${new URLSearchParams(query)}`)).text();
export const report = async (score, options) => (await ask("/page/report", form(score, options))).text();
