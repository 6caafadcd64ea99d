// What the player has given and decided; every change can be undone, and all of it can be sent on.

import { OPTIONS } from "/page/option_data.js";

/** The options that the page keeps; part, instrument and decisions have places of their own in the state. */
const KEPT = ["level", "positions", "fingers", "language", "character", "printed", "tempo", "range_lines"];
const DEFAULTS = Object.fromEntries(KEPT.map((name) => [name, OPTIONS[name].default]));
const LONGEST_LINK = 60000;

const listeners = new Set();
let past = [];
let future = [];

export const state = {
  score: null, // { name, data: Uint8Array, sample? }
  facts: null, // what the service says is in it
  part: null,
  options: { ...DEFAULTS },
  decisions: [], // { kind, part, label, rows, pins: [text without part] }
};

export const listen = (listener) => listeners.add(listener);
const tell = () => listeners.forEach((listener) => listener());
const snapshot = () => JSON.stringify({ options: state.options, decisions: state.decisions, part: state.part });

/** Begin with a score; nothing before it can be undone. */
export function begin(score, facts, part, options = {}, decisions = []) {
  Object.assign(state, { score, facts, part, options: { ...DEFAULTS, ...options }, decisions });
  past = [];
  future = [];
}

export function leave() {
  begin(null, null, null);
}

/** Change options or decisions: `change` works on the state; then everyone is told. */
export function change(act) {
  const before = snapshot();
  act(state);
  if (snapshot() === before) return;
  past.push(before);
  future = [];
  tell();
}

export const canUndo = () => past.length > 0;
export const canRedo = () => future.length > 0;
export const undo = () => step(past, future);
export const redo = () => step(future, past);

function step(from, to) {
  if (!from.length) return;
  to.push(snapshot());
  Object.assign(state, JSON.parse(from.pop()));
  tell();
}

/** Put a decision in the place of earlier ones of its kind about the same notes. */
export function decide(decision) {
  change((now) => {
    const same = (other) =>
      other.part === decision.part &&
      (other.kind === "note") === (decision.kind === "note") &&
      other.rows.some((row) => decision.rows.includes(row));
    now.decisions = [...now.decisions.filter((other) => !same(other)), decision];
  });
}

export function takeBack(decision) {
  change((now) => {
    now.decisions = now.decisions.filter((other) => other !== decision);
  });
}

/** The options as the service reads them; `parts` other than the one at hand may be asked for. */
export function requestOptions(parts = [state.part]) {
  const asked = { part: parts, instrument: instrumentOf(parts[0]) };
  for (const [name, value] of Object.entries(state.options)) if (value !== "" && value !== false) asked[name] = value;
  asked.pin = state.decisions.flatMap(({ part, pins }) => pins.map((pin) => `${part}@${pin}`));
  return asked;
}

export function instrumentOf(part) {
  return state.facts?.parts.find(({ id }) => id === part)?.instrument ?? "violin";
}

/** The whole state as plain data; the score itself is left out where it is a sample. */
export function saved() {
  const { score, part, options, decisions } = state;
  const changed = Object.fromEntries(Object.entries(options).filter(([name, value]) => value !== DEFAULTS[name]));
  const kept = { handframe: 1, name: score.name, part, options: changed, decisions };
  if (score.sample) return { ...kept, sample: score.sample };
  return { ...kept, score: toBase64(score.data) };
}

/** The state as it stands behind the # of a link, or null if it is too long for one. */
export async function linked() {
  const bytes = await squeezed(new TextEncoder().encode(JSON.stringify(saved())), new CompressionStream("deflate-raw"));
  const text = toBase64(bytes).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
  return text.length > LONGEST_LINK ? null : `#plan=${text}`;
}

/** Read what `linked` wrote; throws if it is damaged. */
export async function unlinked(fragment) {
  const text = fragment.replace("#plan=", "").replaceAll("-", "+").replaceAll("_", "/");
  const bytes = await squeezed(fromBase64(text), new DecompressionStream("deflate-raw"));
  return JSON.parse(new TextDecoder().decode(bytes));
}

async function squeezed(bytes, stream) {
  const answer = new Response(new Blob([bytes]).stream().pipeThrough(stream));
  return new Uint8Array(await answer.arrayBuffer());
}

export function toBase64(bytes) {
  let text = "";
  for (let at = 0; at < bytes.length; at += 32768) text += String.fromCharCode(...bytes.subarray(at, at + 32768));
  return btoa(text);
}

export function fromBase64(text) {
  return Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
}
