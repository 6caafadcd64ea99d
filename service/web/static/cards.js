// Beside the music: one card for each stretch away from first position, and the player's decisions.

import { button, make } from "/page/dom.js";
import { words } from "/page/words.js";
import { decide, state, takeBack } from "/page/store.js";

const FIGURES = Object.keys(words.cards.figureNames);

/** Draw the cards of a plan; `on` names what the buttons do: select, compare, neck, listen. */
export function drawCards(holder, plan, selected, on) {
  const kept = holder.contains(document.activeElement) ? (document.activeElement.dataset.focus ?? "gone") : null;
  const review = plan.review;
  const parts = [make("h2", { text: words.cards.title, id: "cards-title" })];
  if (review?.unmet.length) parts.push(unmet(review.unmet));
  if (!plan.excursions.length) parts.push(make("p", { class: "calm", text: nothing(review) }));
  else parts.push(make("ol", { class: "cards" }, plan.excursions.map((one, index) => card(plan, one, index, selected, on))));
  const stayed = state.decisions.filter((d) => d.part === state.part);
  if (stayed.length) parts.push(decisions(stayed));
  const open = review?.findings.filter(({ proposal }) => proposal === null) ?? [];
  if (open.length) parts.push(more(words.cards.findings, open.map(({ text }) => `${capital(text)}.`)));
  if (review?.remarks.length) parts.push(more(words.cards.remarks, review.remarks.map(capital)));
  holder.replaceChildren(...parts);
  if (kept) (holder.querySelector(`[data-focus="${kept}"]`) ?? holder.querySelector("button"))?.focus({ preventScroll: true });
}

function nothing(review) {
  if (!review) return "";
  return review.counts.unreachable ? words.cards.noneButUnreached(review.level_needed.measures.join(", ")) : words.cards.none;
}

function unmet(all) {
  return make("div", { class: "unmet" }, make("p", { text: words.cards.unmet(all.length) }), make("ul", {}, all.map(({ text }) => make("li", { text: capital(text) }))));
}

function card(plan, excursion, index, selected, on) {
  const open = index === selected;
  const heading = make(
    "h3",
    {},
    make(
      "button",
      { type: "button", class: "card-head", "aria-expanded": String(open), "aria-controls": `card-${index}`, "data-focus": `head-${index}`, click: () => on.select(open ? null : index) },
      make("span", { class: "card-number", text: String(index + 1), "aria-hidden": "true" }),
      make("span", { class: "card-where" }, make("strong", { text: capital(excursion.bars) }), " ", make("span", { text: words.cards.to(excursion.positions) })),
    ),
  );
  const reasons = excursion.reasons.length
    ? make("ul", { class: "reasons" }, excursion.reasons.map((text) => make("li", { text: `${capital(text)}.` })))
    : make("p", { class: "reasons", text: words.cards.asked });
  const body = make("div", { id: `card-${index}`, class: "card-body", hidden: !open });
  if (open) body.append(...details(excursion, plan.review?.proposals[excursion.proposal - 1], index, on));
  return make("li", { class: open ? "card open" : "card" }, heading, reasons, actions(excursion, index), body);
}

function details(excursion, proposal, index, on) {
  const parts = [
    make(
      "div",
      { class: "card-tools" },
      button(words.cards.compare, () => on.compare(index), { "data-focus": `compare-${index}` }),
      button(words.cards.listen, () => on.listen(index), { "data-focus": `listen-${index}` }),
      button(words.cards.neck, () => on.neck(index), { "data-focus": `neck-${index}` }),
    ),
  ];
  if (!proposal) return parts;
  parts.push(figures(proposal));
  if (proposal.shifts.length) parts.push(list(words.cards.shifts, proposal.shifts.map(({ text }) => `${capital(text)}.`)));
  if (proposal.anchors?.some(({ how }) => how)) parts.push(list(words.cards.anchor, firstOfEach(proposal.anchors).map(({ how }) => how)));
  if (proposal.patterns?.length) parts.push(list(words.cards.pattern, proposal.patterns.map(({ text }) => `${capital(text)}.`)));
  if (proposal.alternatives?.length) parts.push(alternatives(excursion, proposal, index));
  return parts;
}

function figures({ before, after }) {
  const shown = FIGURES.filter((name) => before[name] || after[name]);
  return make(
    "table",
    { class: "figures" },
    make("caption", { text: words.cards.figures }),
    make("thead", {}, make("tr", {}, make("td"), make("th", { scope: "col", text: words.cards.inFirst }), make("th", { scope: "col", text: words.cards.planned }))),
    make(
      "tbody",
      {},
      shown.map((name) =>
        make("tr", { class: after[name] < before[name] ? "better" : "" }, make("th", { scope: "row", text: words.cards.figureNames[name] }), make("td", { text: String(before[name]) }), make("td", { text: String(after[name]) })),
      ),
    ),
  );
}

function alternatives(excursion, proposal, index) {
  const items = proposal.alternatives.map((one, place) =>
    make(
      "li",
      {},
      make("strong", { text: one.label }),
      make("p", { text: capital((one.text ?? "").replace(`${one.label}: `, "")) }),
      button(words.cards.take, () => choose(excursion, one), { "data-focus": `other-${index}-${place}`, "aria-label": `${words.cards.take}: ${one.label}` }),
    ),
  );
  return make("section", { class: "details" }, make("h4", { text: words.cards.alternatives }), make("ul", { class: "others" }, items));
}

function choose(excursion, one) {
  const pins = one.pins.map((pin) => pin.replace(/^[^@]*@/, ""));
  decide({ kind: "choose", part: state.part, rows: excursion.rows, pins, label: words.decisions.choose(capital(excursion.bars), one.label) });
}

function actions(excursion, index) {
  const kept = state.decisions.find((d) => d.part === state.part && d.kind === "keep" && d.rows[0] === excursion.rows[0] && d.rows.length === excursion.rows.length);
  return make(
    "div",
    { class: "card-acts" },
    button(kept ? words.cards.kept : words.cards.keep, () => (kept ? takeBack(kept) : keep(excursion)), {
      class: "keep",
      "aria-pressed": String(Boolean(kept)),
      "aria-label": `${kept ? words.cards.kept : words.cards.keep}: ${excursion.bars}`,
      "data-focus": `keep-${index}`,
    }),
    button(words.cards.decline, () => decline(excursion), { class: "decline", "aria-label": `${words.cards.decline}: ${excursion.bars}`, "data-focus": `decline-${index}` }),
  );
}

function keep(excursion) {
  const label = words.decisions.keep(capital(excursion.bars), words.cards.to(excursion.positions));
  decide({ kind: "keep", part: state.part, rows: excursion.rows, pins: excursion.pins, label });
}

function decline(excursion) {
  const pins = excursion.rows.map((row) => `n${row}:position=1`);
  decide({ kind: "decline", part: state.part, rows: excursion.rows, pins, label: words.decisions.decline(capital(excursion.bars)) });
}

function decisions(made) {
  const items = made.map((one) =>
    make(
      "li",
      {},
      make("span", { text: one.label }),
      button(words.cards.changeMind, () => takeBack(one), { "aria-label": words.decisions.remove(one.label) }),
    ),
  );
  return make("section", { class: "decisions" }, make("h2", { text: words.cards.decisions }), make("ul", {}, items));
}

function list(title, items) {
  return make("section", { class: "details" }, make("h4", { text: title }), make("ul", {}, items.map((text) => make("li", { text }))));
}

/** A list that is there for those who open it. */
function more(title, items) {
  return make("details", { class: "more" }, make("summary", { text: `${title} (${items.length})` }), make("ul", {}, items.map((text) => make("li", { text }))));
}

/** One anchor for each position: where the hand arrives, so that the ear has one thing to do. */
const firstOfEach = (anchors) => anchors.filter(({ position }, at) => anchors.findIndex((a) => a.position === position) === at);

const capital = (text) => text.charAt(0).toUpperCase() + text.slice(1);
