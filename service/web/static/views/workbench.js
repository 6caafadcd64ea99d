// The view in which a part is worked on: options, music, cards, fingerboard, listening bar.

import * as client from "../api/client.js";
import { isAbort } from "../api/service_error.js";
import { button, field, make, select } from "../elements/elements.js";
import { flowLayout, limitZoom, NO_ZOOM, SHEET, sheetPixels } from "../music/page_layout.js";
import { ScoreView } from "../music/score_view.js";
import { drawCards } from "../plan/card_list.js";
import { nextSelection, stringNames } from "../plan/excursions.js";
import { FingerboardChart } from "../plan/fingerboard_chart.js";
import { openNoteDialog } from "../plan/note_dialog.js";
import { optionControls } from "../plan/option_controls.js";
import { ListenBar } from "../sound/listen_bar.js";
import { requestOptions, session } from "../state/session.js";
import { words } from "../text/words.js";
import { Comparison } from "./comparison.js";
import { showPractice } from "./practice_view.js";

/** @import { PartReview, PlanView } from "../api/answers.js" */
/**
 * @typedef {object} Messages
 * @property {(text: string) => void} setStatus
 * @property {(error: unknown) => void} showError
 */

const SMALLEST_RESIZE = 8; // pixels of change in width that lay the music out anew

export class Workbench {
  #zoom = NO_ZOOM;
  #mode = "flow";
  /** @type {number | null} */
  #selected = null;
  /** @type {PlanView | null} */
  #plan = null;
  /** @type {PartReview | undefined} */
  #review;
  /** @type {AbortController | null} */
  #request = null;
  #plannedWidth = 0;
  #score = new ScoreView({ onNote: (row) => this.#openNote(row), onStretch: (index) => this.#select(index, false) });
  #listenBar = new ListenBar((rows) => this.#score.showSounding(rows));
  #fingerboard = new FingerboardChart();
  #options = optionControls();
  #comparison = new Comparison();
  #cards = make("div", { class: "card-column" });

  /** @param {HTMLElement} holder @param {Messages} messages */
  constructor(holder, { setStatus, showError }) {
    this.setStatus = setStatus;
    this.showError = showError;
    this.element = make(
      "div",
      { class: "bench" },
      make("div", { class: "settings" }, this.#options.element, this.#viewTools()),
      make("div", { class: "music-side" }, this.#comparison.element, this.#score.element),
      make(
        "aside",
        { class: "margin", "aria-labelledby": "cards-title", tabindex: "0" },
        this.#cards,
        this.#fingerboard.element,
      ),
      this.#listenBar.element,
    );
    holder.replaceChildren(this.element);
  }

  #viewTools() {
    const text = words.view;
    /** @type {[string, string][]} */
    const modes = [
      ["flow", text.flow],
      ["pages", text.pages],
    ];
    return make(
      "section",
      { class: "view-tools", "aria-label": text.group },
      field(
        text.layout,
        select(modes, this.#mode, (mode) => this.#setMode(mode), { id: "view-mode" }),
      ),
      button("−", () => this.#setZoom(this.#zoom - 1), { "aria-label": text.smaller, class: "round" }),
      button("+", () => this.#setZoom(this.#zoom + 1), { "aria-label": text.larger, class: "round" }),
    );
  }

  /** @param {string} mode */
  #setMode(mode) {
    this.#mode = mode;
    this.#setWidth();
    this.plan();
  }

  /** @param {number} step */
  #setZoom(step) {
    this.#zoom = limitZoom(step);
    this.#setWidth();
    if (this.#mode === "flow") this.plan();
  }

  #setWidth() {
    this.#score.element.style.setProperty("--sheet", `${sheetPixels(this.#zoom)}px`);
  }

  get #deskPixels() {
    return this.#score.element.clientWidth;
  }

  /** Plan the part and show it; the old music stays until the new music comes. */
  async plan(isNew = false) {
    this.#request?.abort();
    this.#request = new AbortController();
    const isFlowing = this.#mode === "flow";
    const layout = isFlowing ? flowLayout(this.#deskPixels, this.#zoom) : SHEET;
    this.setStatus(words.score.planning);
    this.#score.element.setAttribute("aria-busy", "true");
    this.#plannedWidth = this.#deskPixels;
    try {
      await client.viewPart(session.score, requestOptions(), layout, {
        signal: this.#request.signal,
        plan: (plan) => this.#showPlan(plan, isNew, isFlowing),
        page: (text) => this.#score.addPage(text),
        review: (review) => this.#showReview(review),
      });
      this.setStatus(words.score.planned(this.#plan?.excursions.length ?? 0));
      this.#score.element.removeAttribute("aria-busy");
    } catch (error) {
      if (isAbort(error)) return;
      this.setStatus("");
      this.#score.element.removeAttribute("aria-busy");
      this.showError(error);
    }
  }

  /** @param {PlanView} plan @param {boolean} isNew @param {boolean} isFlowing */
  #showPlan(plan, isNew, isFlowing) {
    const rows = this.#excursion?.rows ?? [];
    this.#plan = plan;
    this.#review = undefined;
    this.#selected = nextSelection(plan, isNew, rows);
    this.#score.begin(plan, stringNames(plan), isFlowing, this.#selected);
    this.#listenBar.setPlan(plan, isNew);
    this.#showSelection();
    if (this.#comparison.isOpen) this.#compare();
  }

  /** @param {PartReview} review */
  #showReview(review) {
    this.#review = review;
    this.#drawCards();
  }

  /** The chosen stretch, or null. */
  get #excursion() {
    return this.#selected === null ? null : (this.#plan?.excursions[this.#selected] ?? null);
  }

  #showSelection() {
    if (!this.#plan) return;
    this.#listenBar.setExcursion(this.#excursion);
    this.#fingerboard.setExcursion(this.#plan, this.#excursion, String(session.options.language));
    this.#drawCards();
  }

  #drawCards() {
    if (!this.#plan) return;
    drawCards(this.#cards, this.#plan, this.#review, this.#selected, {
      select: (index) => this.#select(index),
      compare: (index) => this.#compare(index),
      listen: () => this.#listenBar.playPlan(),
      fingerboard: () => this.#fingerboard.open(),
    });
  }

  /** Choose a stretch; `scroll` brings its music into view, otherwise its card. @param {number | null} index */
  #select(index, scroll = true) {
    this.#selected = index;
    this.#score.select(index, scroll);
    this.#showSelection();
    if (!scroll) this.#cards.querySelector(".card.open")?.scrollIntoView({ block: "nearest" });
    if (this.#comparison.isOpen) this.#compare();
  }

  /** Show the bars of a stretch in both forms. @param {number | null} index */
  async #compare(index = this.#selected) {
    const excursion = index === null ? undefined : this.#plan?.excursions[index];
    if (!this.#plan || !excursion) return this.#comparison.close();
    await this.#comparison.show(this.#plan, excursion, this.#deskPixels).catch(this.showError);
  }

  /** @param {number} row */
  #openNote(row) {
    if (!this.#plan) return;
    this.#listenBar.stop();
    openNoteDialog(this.#plan, row, stringNames(this.#plan), () => this.#score.focus(row));
  }

  /** Show the practice sheet in the place of the part. @param {string} paper */
  async practice(paper) {
    this.#listenBar.stop();
    await showPractice(this.element, paper, this.showError);
  }

  /** Plan again after a change of options or decisions. */
  update() {
    this.#options.refresh();
    this.plan();
  }

  /** Lay flowing music out again for another width. */
  resize() {
    if (this.#mode === "flow" && Math.abs(this.#deskPixels - this.#plannedWidth) > SMALLEST_RESIZE) this.plan();
  }

  leave() {
    this.#request?.abort();
    this.#listenBar.stop();
  }
}
