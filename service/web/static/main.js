// The page put together: what is shown when, and who is told.

import { button, calmly, choice, make } from "/page/dom.js";
import { fill, words } from "/page/words.js";
import * as store from "/page/store.js";
import { state } from "/page/store.js";
import * as service from "/page/service.js";
import { letDrop, partView, startView } from "/page/start.js";
import { Workbench } from "/page/workbench.js";
import { shareSheet, takeSheet } from "/page/take.js";

const stand = document.getElementById("stand");
const message = document.getElementById("message");
const status = document.getElementById("status");
const acts = document.getElementById("acts");
const piece = document.getElementById("piece");
const paper = { value: "a4" };
let bench = null;

function say(text) {
  status.textContent = text;
}

function fault(error) {
  if (error.name === "AbortError") return;
  message.textContent = error.message;
  message.classList.add("shown");
}

function hush() {
  message.textContent = "";
  message.classList.remove("shown");
}

async function begin() {
  bench?.leave();
  bench = null;
  store.leave();
  piece.textContent = "";
  acts.replaceChildren();
  document.body.classList.remove("working");
  await startView(stand, given).catch(fault);
}

/** Take a score or a saved plan, wherever it came from. */
async function given(score) {
  hush();
  try {
    const plan = savedPlan(score);
    if (plan) return await restored(plan);
    await opened(score);
  } catch (error) {
    fault(error);
  }
}

function savedPlan(score) {
  if (!score.name.endsWith(".json")) return null;
  try {
    return JSON.parse(new TextDecoder().decode(score.data));
  } catch {
    throw new service.Fault({ detail: words.faults.badPlan });
  }
}

async function restored(plan) {
  if (plan?.handframe !== 1 || !(plan.sample || plan.score)) throw new service.Fault({ detail: words.faults.badPlan });
  const score = plan.sample ? await service.sample(plan.sample) : { name: plan.name, data: store.fromBase64(plan.score) };
  await opened(score, plan);
}

async function opened(score, plan = null) {
  say(words.score.planning);
  const facts = await service.open(score);
  const data = facts.converted ? store.fromBase64(facts.converted) : score.data;
  const name = facts.converted ? `${score.name.replace(/\.[^.]*$/, "")}.musicxml` : score.name;
  const kept = { ...score, name, data };
  const choose = (part) => work(kept, facts, part, plan);
  const parts = plan ? [plan.part] : facts.suited.length ? facts.suited : facts.parts.map(({ id }) => id);
  if (parts.length === 1 || facts.parts.length === 1) return choose(parts[0]);
  say("");
  partView(stand, facts, choose, begin);
  stand.focus();
}

function work(score, facts, part, plan) {
  store.begin(score, facts, part, plan?.options, plan?.decisions);
  document.body.classList.add("working");
  piece.textContent = facts.title || score.name;
  bench?.leave();
  bench = new Workbench(stand, { say, fault, hush });
  drawActs();
  bench.plan(true);
}

function drawActs() {
  const say = words.acts;
  const tools = [
    button(say.another, begin),
    button(say.undo, store.undo, { disabled: !store.canUndo(), id: "undo" }),
    button(say.redo, store.redo, { disabled: !store.canRedo(), id: "redo" }),
    button(say.share, () => shareSheet().catch(fault), { id: "share" }),
    button(say.print, () => bench.print(paper.value).catch(fault), { id: "print" }),
    button(say.take, () => takeSheet({ print: () => bench.print(paper.value).catch(fault), practice: () => bench.practice(paper.value), fault }, paper), { id: "take", class: "main" }),
  ];
  if (state.facts.parts.length > 1) {
    const parts = state.facts.parts.map(({ id, name }) => [id, name]);
    tools.unshift(choice(say.part, parts, state.part, (part) => store.change((now) => (now.part = part)), { id: "part" }));
  }
  const kept = acts.contains(document.activeElement) ? document.activeElement.id : null;
  acts.replaceChildren(...tools);
  if (kept) document.getElementById(kept)?.focus();
}

store.listen(() => {
  hush();
  drawActs();
  bench?.changed();
});

addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.target.matches("input, textarea")) return;
  const key = event.key.toLowerCase();
  if (key === "z" || key === "y") {
    event.preventDefault();
    (key === "y" || event.shiftKey ? store.redo : store.undo)();
  }
});
addEventListener("resize", calmly(() => bench?.resized(), 250));
addEventListener("hashchange", followLink);

async function followLink() {
  if (!location.hash.startsWith("#plan=")) return false;
  try {
    await restored(await store.unlinked(location.hash));
  } catch (error) {
    await begin();
    fault(error instanceof service.Fault ? error : new service.Fault({ detail: words.faults.badLink }));
  }
  return true;
}

fill(document);
letDrop(given);
if (!(await followLink())) await begin();
document.body.append(make("span", { hidden: true, "data-ready": true }));
