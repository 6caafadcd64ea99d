// The view in which a part is worked on: music, cards, player.

import * as client from "../api/client.js";
import { isAbort } from "../api/service_error.js";
import { field, make, select } from "../elements/elements.js";
import { signButton } from "../elements/signs.js";
import { flowLayout, limitZoom, NO_ZOOM, SHEET, sheetPixels } from "../music/page_layout.js";
import { ScoreView } from "../music/score_view.js";
import { stringNames } from "../plan/excursions.js";
import { openNoteDialog } from "../plan/note_dialog.js";
import { optionControls } from "../plan/option_controls.js";
import { measuresOf, nextChoice, stretchesOf } from "../plan/stretches.js";
import { ListenBar } from "../sound/listen_bar.js";
import { requestOptions, session } from "../state/session.js";
import { words } from "../text/words.js";
import { CardSheet } from "./card_sheet.js";
import { openComparison } from "./comparison.js";
import { showPractice } from "./practice_view.js";

/** @import { PartReview, PlanView } from "../api/answers.js" */
/** @import { Stretch } from "../plan/stretches.js" */
/**
 * @typedef {object} Messages
 * @property {(text: string) => void} setStatus
 * @property {(error: unknown) => void} showError
 */

const SMALLEST_RESIZE = 8; // pixels of change in width that lay the music out anew

export class Workbench {
  #zoom = NO_ZOOM;
  #mode = "flow";
  /** @type {Stretch[]} */
  #stretches = [];
  /** @type {Stretch | null} */
  #chosen = null;
  /** @type {PlanView | null} */
  #plan = null;
  /** @type {PartReview | undefined} */
  #review;
  /** @type {AbortController | null} */
  #request = null;
  #plannedWidth = 0;
  #score = new ScoreView({
    onNote: (row) => this.#openNote(row),
    onStretch: (index) => this.#select(this.#stretches.find((one) => one.index === index) ?? null, false),
  });
  #listenBar = new ListenBar((rows) => this.#score.showSounding(rows));
  #controls = optionControls();
  #sheet = new CardSheet({
    select: (stretch) => this.#select(stretch),
    compare: (stretch) => this.#compare(stretch),
    listen: () => this.#listenBar.playPlan(),
  });

  /** @param {HTMLElement} holder @param {Messages} messages */
  constructor(holder, { setStatus, showError }) {
    this.setStatus = setStatus;
    this.showError = showError;
    this.element = make(
      "div",
      { class: "bench" },
      make("div", { class: "music-side" }, this.#score.element),
      this.#sheet.element,
      this.#listenBar.element,
    );
    holder.replaceChildren(this.element);
  }

  /** The control of the level. */
  get level() {
    return this.#controls.level;
  }

  /** The other options, and how the music is shown. */
  get options() {
    return [this.#controls.element, this.#viewTools()];
  }

  #viewTools() {
    const text = words.view;
    /** @type {[string, string][]} */
    const modes = [
      ["flow", text.flow],
      ["pages", text.pages],
    ];
    const layout = select(modes, this.#mode, (mode) => this.#setMode(mode), { id: "view-mode" });
    return make(
      "section",
      { class: "panel-row", "aria-label": text.group },
      field(text.layout, layout),
      signButton("smaller", text.smaller, () => this.#setZoom(this.#zoom - 1), { word: "hidden", class: "" }),
      signButton("larger", text.larger, () => this.#setZoom(this.#zoom + 1), { word: "hidden", class: "" }),
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
    this.#plan = plan;
    this.#review = undefined;
    this.#stretches = stretchesOf(plan, session.decisions);
    this.#chosen = nextChoice(this.#stretches, isNew, this.#chosen?.rows ?? []);
    this.#score.begin(plan, stringNames(plan), isFlowing, this.#chosen?.index ?? null);
    this.#listenBar.setPlan(plan, isNew);
    this.#showChoice();
  }

  /** @param {PartReview} review */
  #showReview(review) {
    this.#review = review;
    this.#drawCards();
  }

  #showChoice() {
    if (!this.#plan) return;
    const measures = this.#chosen && measuresOf(this.#plan, this.#chosen);
    this.#listenBar.setStretch(measures, this.#chosen?.excursion?.anchor_midi ?? null);
    this.#sheet.fingerboard.setExcursion(this.#plan, this.#chosen?.excursion ?? null, String(session.options.language));
    this.#drawCards();
  }

  #drawCards() {
    this.#sheet.draw(this.#stretches, this.#chosen, this.#review);
  }

  /** Choose a stretch; `scroll` brings its music into view, otherwise its card. @param {Stretch | null} stretch */
  #select(stretch, scroll = true) {
    this.#chosen = stretch;
    this.#score.select(stretch?.index ?? null);
    if (scroll && stretch) this.#score.reveal(stretch.rows[0]);
    this.#showChoice();
    if (!scroll) this.#sheet.reveal();
  }

  /** Show the bars of a stretch in both forms. @param {Stretch} stretch */
  async #compare(stretch) {
    if (!this.#plan) return;
    const play = (/** @type {"home" | "plan"} */ form) => this.#listenBar.playBars(form);
    const stop = () => this.#listenBar.stop();
    await openComparison(this.#plan, measuresOf(this.#plan, stretch), play, stop).catch(this.showError);
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
    this.#controls.refresh();
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
