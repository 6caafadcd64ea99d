// Beside the music: a card for each stretch away from first position, and the player's decisions.

import { button, make } from "../elements/elements.js";
import { explained } from "../elements/term_notes.js";
import { chooseDecision, declineDecision, keepDecision, keepDecisionFor } from "../state/decisions.js";
import { addDecision, removeDecision, session } from "../state/session.js";
import { capitalize, sentence } from "../text/sentences.js";
import { words } from "../text/words.js";
import { anchorTexts, choiceTexts, emptyText, nearWays } from "./card_data.js";
import { figureTable } from "./figure_table.js";

/** @import { Alternative, Excursion, PartReview, Proposal } from "../api/answers.js" */
/** @import { Decision } from "../state/decisions.js" */
/** @import { Stretch } from "./stretches.js" */
/**
 * What the buttons of a card do.
 * @typedef {object} CardActions
 * @property {(stretch: Stretch | null) => void} select
 * @property {(stretch: Stretch) => void} compare
 * @property {() => void} listen
 * @property {() => void} fingerboard
 */

/**
 * Draw the cards of a plan; the focus stays where it was.
 * @param {HTMLElement} holder
 * @param {Stretch[]} stretches
 * @param {PartReview | undefined} review comes after the plan
 * @param {Stretch | null} chosen its card is open
 * @param {CardActions} actions
 */
export function drawCards(holder, stretches, review, chosen, actions) {
  const focus = focusKey(holder);
  const decisions = session.decisions.filter(({ part }) => part === session.part);
  /** @type {HTMLElement[]} */
  const parts = [];
  if (review?.unmet.length) parts.push(unmetDecisions(review.unmet.map(({ text }) => capitalize(text))));
  if (stretches.length) parts.push(cardList(stretches, review, chosen, actions));
  else parts.push(make("p", { class: "calm", text: emptyText(review) }));
  if (decisions.length) parts.push(decisionList(decisions));
  const [beyond, choices] = [choiceTexts(review, true), choiceTexts(review, false)];
  if (beyond.length) parts.push(foldedList(words.cards.beyond, beyond));
  if (choices.length) parts.push(foldedList(words.cards.choices, choices));
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
 * @param {Stretch[]} stretches
 * @param {PartReview | undefined} review
 * @param {Stretch | null} chosen
 * @param {CardActions} actions
 */
function cardList(stretches, review, chosen, actions) {
  const cards = stretches.map((stretch) =>
    stretch.decline
      ? declinedCard(stretch, stretch.decline, stretch === chosen, actions)
      : card(stretch, proposalOf(stretch.excursion, review), stretch === chosen, actions),
  );
  return make("ol", { class: "cards" }, cards);
}

/** The proposal of a stretch, once the review is there. @param {Excursion | null} excursion @param {PartReview} [review] */
export function proposalOf(excursion, review) {
  return excursion === null || excursion.proposal === null ? undefined : review?.proposals[excursion.proposal - 1];
}

/**
 * @param {Stretch} stretch
 * @param {Proposal | undefined} proposal
 * @param {boolean} isOpen
 * @param {CardActions} actions
 */
function card(stretch, proposal, isOpen, actions) {
  const excursion = /** @type {Excursion} */ (stretch.excursion);
  const reasons = reasonList(excursion);
  const key = stretch.rows[0];
  const head = heading(stretch, capitalize(excursion.bars), words.cards.to(excursion.positions), isOpen, actions);
  if (!isOpen) return make("li", { class: "card" }, head, reasons);
  const body = make("div", { id: `card-${key}`, class: "card-body" }, details(stretch, excursion, proposal, actions));
  return make("li", { class: "card open" }, head, reasons, decisionButtons(excursion), body);
}

/** The card of a stretch that the player has declined keeps its place. @param {Stretch} stretch @param {Decision} decline @param {boolean} isOpen @param {CardActions} actions */
function declinedCard(stretch, decline, isOpen, actions) {
  const head = heading(stretch, capitalize(decline.bars ?? decline.label), "", isOpen, actions);
  const text = make("p", { class: "reasons", text: words.cards.declined });
  if (!isOpen) return make("li", { class: "card declined" }, head, text);
  return make("li", { class: "card declined open" }, head, text, declinedButtons(decline));
}

/**
 * @param {Stretch} stretch
 * @param {string} bars
 * @param {string} positions
 * @param {boolean} isOpen
 * @param {CardActions} actions
 */
function heading(stretch, bars, positions, isOpen, actions) {
  const title = make(
    "span",
    { class: "card-where" },
    make("strong", { text: bars }),
    " ",
    make("span", { text: positions }),
  );
  const key = stretch.rows[0];
  const attributes = {
    type: "button",
    class: "card-head",
    "aria-expanded": String(isOpen),
    "aria-controls": isOpen && stretch.excursion ? `card-${key}` : null,
    "data-focus": `head-${key}`,
    click: () => actions.select(isOpen ? null : stretch),
  };
  const text = stretch.index === null ? "–" : String(stretch.index + 1);
  const number = make("span", { class: "card-number", text, "aria-hidden": "true" });
  return make("h3", {}, make("button", attributes, number, title));
}

/**
 * @param {Stretch} stretch
 * @param {Excursion} excursion
 * @param {Proposal | undefined} proposal
 * @param {CardActions} actions
 */
function details(stretch, excursion, proposal, actions) {
  const key = stretch.rows[0];
  /** @type {HTMLElement[]} */
  const parts = [
    make(
      "div",
      { class: "card-tools" },
      button(words.cards.compare, () => actions.compare(stretch), { class: "plain", "data-focus": `compare-${key}` }),
      button(words.cards.listen, actions.listen, { class: "plain", "data-focus": `listen-${key}` }),
      button(words.cards.fingerboard, actions.fingerboard, { class: "plain", "data-focus": `fingerboard-${key}` }),
    ),
  ];
  if (!proposal) return parts;
  const alternatives = nearWays(proposal.alternatives);
  parts.push(...proposalSections(proposal));
  if (alternatives.length) parts.push(alternativeList(excursion, alternatives));
  return parts;
}

/** @param {Excursion} excursion */
function reasonList(excursion) {
  return excursion.reasons.length
    ? items(excursion.reasons.map(sentence), "reasons")
    : make("p", { class: "reasons", text: words.cards.asked });
}

/**
 * What a card says, without anything to press: reasons, figures, and how to play.
 * @param {Excursion} excursion
 * @param {Proposal | undefined} proposal
 */
export const cardSections = (excursion, proposal) => [
  reasonList(excursion),
  ...(proposal ? proposalSections(proposal) : []),
];

/** @param {Proposal} proposal */
function proposalSections(proposal) {
  const { before, after, steps, patterns } = proposal;
  const anchors = anchorTexts(proposal.anchors);
  /** @type {HTMLElement[]} */
  const parts = [figureTable(words.cards.figures, [words.cards.inFirst, words.cards.planned], before, after)];
  if (steps.length) parts.push(section(words.cards.shifts, steps));
  if (anchors.length) parts.push(section(words.cards.anchor, anchors));
  if (patterns.length)
    parts.push(
      section(
        words.cards.pattern,
        patterns.map(({ text }) => sentence(text)),
      ),
    );
  return parts;
}

/** @param {Excursion} excursion @param {Alternative[]} alternatives */
function alternativeList(excursion, alternatives) {
  const entries = alternatives.map((alternative, place) =>
    make(
      "li",
      {},
      make("strong", { text: capitalize(alternative.label) }),
      ...(alternative.text ? [make("p", {}, explained(alternative.text))] : []),
      button(words.cards.take, () => addDecision(chooseDecision(session.part, excursion, alternative)), {
        "data-focus": `other-${excursion.rows[0]}-${place}`,
        "aria-label": `${words.cards.take}: ${alternative.label}`,
      }),
    ),
  );
  const title = make("h4", { text: words.cards.alternatives });
  return make("section", { class: "details" }, title, make("ul", { class: "others" }, entries));
}

/** @param {Excursion} excursion */
function decisionButtons(excursion) {
  const decision = keepDecisionFor(session.decisions, session.part, excursion.rows);
  const key = excursion.rows[0];
  const keep = toggle(words.cards[decision ? "kept" : "keep"], excursion.bars, Boolean(decision), `keep-${key}`, () =>
    decision ? removeDecision(decision) : addDecision(keepDecision(session.part, excursion)),
  );
  const decline = toggle(words.cards.decline, excursion.bars, false, `decline-${key}`, () =>
    addDecision(declineDecision(session.part, excursion)),
  );
  decline.classList.add("decline");
  return make("div", { class: "card-acts" }, keep, decline);
}

/** @param {Decision} decline */
function declinedButtons(decline) {
  const bars = decline.bars ?? decline.label;
  const undo = toggle(words.cards.decline, bars, true, `decline-${decline.rows[0]}`, () => removeDecision(decline));
  return make("div", { class: "card-acts" }, undo);
}

/**
 * A button that is pressed or not. The second press of a double click counts for nothing.
 * @param {string} text
 * @param {string} bars
 * @param {boolean} isPressed
 * @param {string} key
 * @param {() => void} action
 */
function toggle(text, bars, isPressed, key, action) {
  const press = (/** @type {MouseEvent} */ { detail }) => detail < 2 && action();
  return make("button", {
    type: "button",
    text,
    "aria-pressed": String(isPressed),
    "aria-label": `${text}: ${bars}`,
    "data-focus": key,
    click: press,
  });
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
    texts.map((text) => make("li", {}, explained(text))),
  );
