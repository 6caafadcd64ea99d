// The view in which a part is worked on: music, cards, player.

import * as client from "../api/client.js";
import { isAbort } from "../api/service_error.js";
import { openComparison } from "../dialogs/comparison.js";
import { openLevels } from "../dialogs/levels_dialog.js";
import { button, field, make, select } from "../elements/elements.js";
import { signButton } from "../elements/signs.js";
import { flowLayout, limitZoom, NO_ZOOM, SHEET, zoomFactor } from "../music/page_layout.js";
import { ScoreView } from "../music/score_view.js";
import { openNoteDialog } from "../plan/note_dialog.js";
import { optionControls } from "../plan/option_controls.js";
import { barOfRow, notices } from "../plan/piece_map.js";
import { measuresOf, nextChoice, stretchesOf } from "../plan/stretches.js";
import { ListenBar } from "../sound/listen_bar.js";
import { midiFile } from "../sound/midi_file.js";
import { performance } from "../sound/performance.js";
import { partRemarks, requestOptions, session } from "../state/session.js";
import { language } from "../text/language.js";
import { stringNames } from "../text/music_words.js";
import { words } from "../text/words.js";
import { CardSheet } from "./card_sheet.js";
import { MapStrip } from "./map_strip.js";
import { endProgress, setStatus, showError, showProgress } from "./messages.js";
import { drawNotices } from "./notice_list.js";
import { showPractice } from "./practice_view.js";

/** @import { PartReview, PlanView } from "../api/answers.js" */
/** @import { Stretch } from "../plan/stretches.js" */

const SHARED_PIXELS = 560; // width of the music in a page for others
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
    onNote: (row) => this.#pressNote(row),
    isPlaying: () => this.#listenBar.isPlaying,
    onView: (first, last) => this.#map.setView(first, last),
    onStretch: (index) => this.#select(this.#stretches.find((one) => one.index === index) ?? null, false),
  });
  #listenBar = new ListenBar((rows) => {
    this.#score.showSounding(rows);
    if (this.#plan) this.#sheet.fingerboard.showSounding(this.#plan, rows);
  });
  #map = new MapStrip((row) => {
    this.#score.reveal(row);
    if (this.#listenBar.isPlaying) this.#goOnFrom(row);
  });
  #notices = make("div", { class: "notices" });
  #controls = optionControls();
  #sheet = new CardSheet({
    select: (stretch) => this.#select(stretch),
    compare: (stretch) => this.#compare(stretch),
    listen: () => this.#listenBar.playPlan(),
  });

  /** @param {HTMLElement} holder @param {(row: number | null) => void} onPlace gets the row at which the player is */
  constructor(holder, onPlace) {
    this.onPlace = onPlace;
    this.element = make(
      "div",
      { class: "bench" },
      make("div", { class: "music-side" }, this.#notices, this.#map.element, this.#score.element),
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
    const levels = () => openLevels(String(session.options.level)).catch(showError);
    return [this.#controls.element, button(words.levels.open, levels, { id: "levels" }), this.#viewTools()];
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
    this.#score.element.style.setProperty("--zoom", String(zoomFactor(this.#zoom)));
  }

  get #deskPixels() {
    return this.#score.element.clientWidth;
  }

  /** Plan the part and show it; the old music stays until the new music comes. */
  async plan(isNew = false) {
    this.#request?.abort();
    const request = new AbortController();
    this.#request = request;
    const isFlowing = this.#mode === "flow";
    const layout = isFlowing ? flowLayout(this.#deskPixels, this.#zoom) : SHEET;
    const cancel = () => this.#cancel(isNew);
    const { part, facts } = session;
    showProgress(words.progress.planning(facts.parts.find(({ id }) => id === part)?.notes ?? 0), { cancel });
    this.#score.element.setAttribute("aria-busy", "true");
    this.#plannedWidth = this.#deskPixels;
    let isFirst = true;
    try {
      await client.viewPart(session.score, requestOptions(), layout, {
        signal: request.signal,
        remarks: partRemarks(),
        plan: (plan) => this.#showPlan(plan, isNew),
        page: (text, done) => {
          if (isFirst) this.#score.begin(isFlowing);
          isFirst = false;
          this.#score.addPage(text);
          showProgress(done < 1 ? words.progress.drawing : words.progress.reviewing, { done, cancel });
        },
        review: (review) => this.#showReview(review),
      });
      this.#settle(words.score.planned(this.#plan?.excursions.length ?? 0));
      if (isNew && session.place) this.#score.reveal(session.place);
    } catch (error) {
      if (isAbort(error)) return;
      this.#settle("");
      showError(error, () => this.plan(isNew));
    }
  }

  /** @param {string} text */
  #settle(text) {
    endProgress();
    setStatus(text);
    this.#score.element.removeAttribute("aria-busy");
  }

  /** @param {boolean} isNew */
  #cancel(isNew) {
    this.#request?.abort();
    this.#settle("");
    showError(new Error(words.progress.cancelled), () => this.plan(isNew));
  }

  /** @param {PlanView} plan @param {boolean} isNew */
  #showPlan(plan, isNew) {
    this.#plan = plan;
    this.#review = undefined;
    this.#stretches = stretchesOf(plan, session.decisions);
    this.#chosen = nextChoice(this.#stretches, isNew && session.place === null, this.#rowsAtHand);
    this.#score.setPlan(plan, stringNames(plan), this.#chosen?.index ?? null);
    this.#listenBar.setPlan(plan, isNew);
    this.#map.draw(plan);
    this.#showChoice();
  }

  /** @param {PartReview} review */
  #showReview(review) {
    this.#review = review;
    this.#drawCards();
    if (!this.#plan) return;
    this.#map.draw(this.#plan, review);
    drawNotices(this.#notices, notices(this.#plan, review, session.facts));
  }

  /** The notes where the player is. */
  get #rowsAtHand() {
    return this.#chosen?.rows ?? (session.place === null ? [] : [session.place]);
  }

  #showChoice() {
    if (!this.#plan) return;
    const measures = this.#chosen && measuresOf(this.#plan, this.#chosen);
    this.#listenBar.setStretch(measures, this.#chosen?.excursion?.anchor_midi ?? null);
    this.#sheet.fingerboard.setExcursion(this.#plan, this.#chosen?.excursion ?? null, language);
    this.#drawCards();
  }

  #drawCards() {
    this.#sheet.draw(this.#stretches, this.#chosen, this.#review);
  }

  /** Choose a stretch; `scroll` brings its music into view, otherwise its card. @param {Stretch | null} stretch */
  #select(stretch, scroll = true) {
    this.#chosen = stretch;
    if (stretch) this.onPlace(stretch.rows[0]);
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
    await openComparison(this.#plan, measuresOf(this.#plan, stretch), play, stop).catch((error) =>
      showError(error, () => this.#compare(stretch)),
    );
  }

  /** While it plays, go on from a note; else decide about it. @param {number} row */
  #pressNote(row) {
    this.onPlace(row);
    if (this.#listenBar.isPlaying) this.#goOnFrom(row);
    else this.#openNote(row);
  }

  /** @param {number} row */
  #goOnFrom(row) {
    if (this.#plan) this.#listenBar.goOnFrom(row, barOfRow(this.#plan).get(row) ?? 0);
  }

  /** @param {number} row */
  #openNote(row) {
    if (!this.#plan) return;
    const plan = this.#plan;
    openNoteDialog(plan, row, stringNames(plan), () => this.#score.noteBox(row), {
      close: () => {
        this.#score.endClearing();
        this.#score.focus(row);
      },
      placed: (dialog) => this.#score.keepClear(row, dialog),
      play: () => this.#listenBar.playFrom(row, barOfRow(plan).get(row) ?? 0),
    });
  }

  /** What a page for others is made of, the music in lines that a phone can show; null until the review is there. */
  async sharedWork() {
    const [plan, review] = [this.#plan, this.#review];
    if (!plan || !review) return null;
    const view = new ScoreView({ onNote: () => {}, onStretch: () => {}, onView: () => {} });
    view.element.classList.add("offstage");
    document.body.append(view.element);
    try {
      view.begin(true);
      view.setPlan(plan, stringNames(plan), null);
      await client.viewPart(session.score, requestOptions(), flowLayout(SHARED_PIXELS, NO_ZOOM), {
        remarks: partRemarks(),
        page: (text) => view.addPage(text),
      });
      return { music: view.copy(), plan, review };
    } finally {
      view.element.remove();
    }
  }

  /** The part as a MIDI file, repeats played; null until it is planned. */
  midi() {
    if (!this.#plan) return null;
    const passage = { form: /** @type {const} */ ("plan"), first: 0, last: this.#plan.bars.length - 1 };
    const title = session.facts.title || session.score.name;
    return midiFile(performance(this.#plan, { ...passage, hasRepeats: true }), title, this.#plan.instrument);
  }

  /** Show the practice sheet in the place of the part. @param {string} paper */
  async practice(paper) {
    this.#listenBar.stop();
    await showPractice(this.element, paper, showError);
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
    endProgress();
    this.#listenBar.stop();
  }
}
