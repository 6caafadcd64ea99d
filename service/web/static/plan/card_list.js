// Beside the music: a card for each stretch away from first position, and the player's decisions.

import { button, make } from "../elements/elements.js";
import { chooseDecision, declineDecision, keepDecision, keepDecisionFor } from "../state/decisions.js";
import { addDecision, removeDecision, session } from "../state/session.js";
import { capitalize, sentence } from "../text/sentences.js";
import { words } from "../text/words.js";
import { alternativeText, anchorTexts, emptyText, figureRows, openFindings } from "./card_data.js";

/** @import { Alternative, Excursion, PartReview, PlanView, Proposal } from "../api/answers.js" */
/** @import { Decision } from "../state/decisions.js" */
/**
 * What the buttons of a card do; each but `fingerboard` gets the index of its stretch.
 * @typedef {object} CardActions
 * @property {(index: number | null) => void} select
 * @property {(index: number) => void} compare
 * @property {() => void} listen
 * @property {() => void} fingerboard
 */

/**
 * Draw the cards of a plan; the focus stays where it was.
 * @param {HTMLElement} holder
 * @param {PlanView} plan
 * @param {PartReview | undefined} review comes after the plan
 * @param {number | null} selected index of the open card
 * @param {CardActions} actions
 */
export function drawCards(holder, plan, review, selected, actions) {
  const focus = focusKey(holder);
  const decisions = session.decisions.filter(({ part }) => part === session.part);
  const findings = openFindings(review);
  /** @type {HTMLElement[]} */
  const parts = [make("h2", { text: words.cards.title, id: "cards-title" })];
  if (review?.unmet.length) parts.push(unmetDecisions(review.unmet.map(({ text }) => capitalize(text))));
  if (!plan.excursions.length) parts.push(make("p", { class: "calm", text: emptyText(review) }));
  else parts.push(cardList(plan, review, selected, actions));
  if (decisions.length) parts.push(decisionList(decisions));
  if (findings.length)
    parts.push(
      foldedList(
        words.cards.findings,
        findings.map(({ text }) => sentence(text)),
      ),
    );
  if (review?.remarks.length) parts.push(foldedList(words.cards.remarks, review.remarks.map(capitalize)));
  holder.replaceChildren(...parts);
  if (focus === null) return;
  const target = holder.querySelector(`[data-focus="${focus}"]`) ?? holder.querySelector("button");
  /** @type {HTMLElement | null} */ (target)?.focus({ preventScroll: true });
}

/** Which element of the cards has the focus; null if it is elsewhere, "" if the element has no key. @param {HTMLElement} holder */
function focusKey(holder) {
  if (!holder.contains(document.activeElement)) return null;
  return /** @type {HTMLElement} */ (document.activeElement).dataset.focus ?? "";
}

/** @param {string[]} texts */
function unmetDecisions(texts) {
  return make("div", { class: "unmet" }, make("p", { text: words.cards.unmet(texts.length) }), items(texts));
}

/**
 * @param {PlanView} plan
 * @param {PartReview | undefined} review
 * @param {number | null} selected
 * @param {CardActions} actions
 */
function cardList(plan, review, selected, actions) {
  const cards = plan.excursions.map((excursion, index) => {
    const proposal = excursion.proposal === null ? undefined : review?.proposals[excursion.proposal - 1];
    return card(excursion, proposal, index, index === selected, actions);
  });
  return make("ol", { class: "cards" }, cards);
}

/**
 * @param {Excursion} excursion
 * @param {Proposal | undefined} proposal
 * @param {number} index
 * @param {boolean} isOpen
 * @param {CardActions} actions
 */
function card(excursion, proposal, index, isOpen, actions) {
  const reasons = excursion.reasons.length
    ? items(excursion.reasons.map(sentence), "reasons")
    : make("p", { class: "reasons", text: words.cards.asked });
  const body = make("div", { id: `card-${index}`, class: "card-body", hidden: !isOpen });
  if (isOpen) body.append(...details(excursion, proposal, index, actions));
  return make(
    "li",
    { class: isOpen ? "card open" : "card" },
    heading(excursion, index, isOpen, actions),
    reasons,
    decisionButtons(excursion, index),
    body,
  );
}

/**
 * @param {Excursion} excursion
 * @param {number} index
 * @param {boolean} isOpen
 * @param {CardActions} actions
 */
function heading({ bars, positions }, index, isOpen, actions) {
  const title = make(
    "span",
    { class: "card-where" },
    make("strong", { text: capitalize(bars) }),
    " ",
    make("span", { text: words.cards.to(positions) }),
  );
  const attributes = {
    type: "button",
    class: "card-head",
    "aria-expanded": String(isOpen),
    "aria-controls": `card-${index}`,
    "data-focus": `head-${index}`,
    click: () => actions.select(isOpen ? null : index),
  };
  const number = make("span", { class: "card-number", text: String(index + 1), "aria-hidden": "true" });
  return make("h3", {}, make("button", attributes, number, title));
}

/**
 * @param {Excursion} excursion
 * @param {Proposal | undefined} proposal
 * @param {number} index
 * @param {CardActions} actions
 */
function details(excursion, proposal, index, actions) {
  /** @type {HTMLElement[]} */
  const parts = [
    make(
      "div",
      { class: "card-tools" },
      button(words.cards.compare, () => actions.compare(index), { "data-focus": `compare-${index}` }),
      button(words.cards.listen, actions.listen, { "data-focus": `listen-${index}` }),
      button(words.cards.fingerboard, actions.fingerboard, { "data-focus": `fingerboard-${index}` }),
    ),
  ];
  if (!proposal) return parts;
  const { shifts, patterns, alternatives } = proposal;
  const anchors = anchorTexts(proposal.anchors);
  parts.push(figureTable(proposal));
  if (shifts.length)
    parts.push(
      section(
        words.cards.shifts,
        shifts.map(({ text }) => sentence(text)),
      ),
    );
  if (anchors.length) parts.push(section(words.cards.anchor, anchors));
  if (patterns.length)
    parts.push(
      section(
        words.cards.pattern,
        patterns.map(({ text }) => sentence(text)),
      ),
    );
  if (alternatives.length) parts.push(alternativeList(excursion, alternatives, index));
  return parts;
}

/** @param {Proposal} proposal */
function figureTable({ before, after }) {
  const column = (/** @type {string} */ text) => make("th", { scope: "col", text });
  const rows = figureRows(before, after).map((row) =>
    make(
      "tr",
      { class: row.isBetter ? "better" : "" },
      make("th", { scope: "row", text: row.name }),
      make("td", { text: String(row.before) }),
      make("td", { text: String(row.after) }),
    ),
  );
  return make(
    "table",
    { class: "figures" },
    make("caption", { text: words.cards.figures }),
    make("thead", {}, make("tr", {}, make("td"), column(words.cards.inFirst), column(words.cards.planned))),
    make("tbody", {}, rows),
  );
}

/** @param {Excursion} excursion @param {Alternative[]} alternatives @param {number} index */
function alternativeList(excursion, alternatives, index) {
  const entries = alternatives.map((alternative, place) =>
    make(
      "li",
      {},
      make("strong", { text: alternative.label }),
      make("p", { text: alternativeText(alternative) }),
      button(words.cards.take, () => addDecision(chooseDecision(session.part, excursion, alternative)), {
        "data-focus": `other-${index}-${place}`,
        "aria-label": `${words.cards.take}: ${alternative.label}`,
      }),
    ),
  );
  const title = make("h4", { text: words.cards.alternatives });
  return make("section", { class: "details" }, title, make("ul", { class: "others" }, entries));
}

/** @param {Excursion} excursion @param {number} index */
function decisionButtons(excursion, index) {
  const decision = keepDecisionFor(session.decisions, session.part, excursion.rows);
  const text = decision ? words.cards.kept : words.cards.keep;
  const toggle = () => (decision ? removeDecision(decision) : addDecision(keepDecision(session.part, excursion)));
  const decline = () => addDecision(declineDecision(session.part, excursion));
  return make(
    "div",
    { class: "card-acts" },
    button(text, toggle, {
      class: "keep",
      "aria-pressed": String(Boolean(decision)),
      "aria-label": `${text}: ${excursion.bars}`,
      "data-focus": `keep-${index}`,
    }),
    button(words.cards.decline, decline, {
      class: "decline",
      "aria-label": `${words.cards.decline}: ${excursion.bars}`,
      "data-focus": `decline-${index}`,
    }),
  );
}

/** @param {Decision[]} decisions */
function decisionList(decisions) {
  const entries = decisions.map((decision) =>
    make(
      "li",
      {},
      make("span", { text: decision.label }),
      button(words.cards.changeMind, () => removeDecision(decision), {
        "aria-label": words.decisions.remove(decision.label),
      }),
    ),
  );
  return make("section", { class: "decisions" }, make("h2", { text: words.cards.decisions }), make("ul", {}, entries));
}

/** @param {string} title @param {string[]} texts */
function section(title, texts) {
  return make("section", { class: "details" }, make("h4", { text: title }), items(texts));
}

/** A list that opens on demand. @param {string} title @param {string[]} texts */
function foldedList(title, texts) {
  return make("details", { class: "more" }, make("summary", { text: `${title} (${texts.length})` }), items(texts));
}

/** @param {string[]} texts @param {string} [kind] */
const items = (texts, kind) =>
  make(
    "ul",
    { class: kind },
    texts.map((text) => make("li", { text })),
  );
