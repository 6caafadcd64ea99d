// The engraved part: pictures are put in as they come near the window, notes can be chosen, stretches are shaded.

import { debounce } from "../elements/debounce.js";
import { make, picture } from "../elements/elements.js";
import { words } from "../text/words.js";
import { nearestAlong, nearestHead, nearestLine, rowAfterKey, scrollDistance } from "./note_navigation.js";
import { coveredDistance, pictureSize, rowsInPicture } from "./page_layout.js";
import { drawStretches } from "./stretch_marks.js";

/** @import { PlanView } from "../api/answers.js" */
/** @typedef {{ holder: HTMLElement, text: string, rows: number[] }} ScorePage a picture with its notes, and the element for it */

const NEAR = "1200px"; // distance from the window at which a picture is put in
const SCROLL_PAUSE = 80; // milliseconds
const NOTES = "g.note[role]";

export class ScoreView {
  /** @type {PlanView | null} */
  #plan = null;
  /** @type {Record<number, string>} */
  #strings = {};
  /** @type {number | null} */
  #selected = null;
  /** @type {number | null} */
  #row = null;
  /** @type {ScorePage[]} */
  #pages = [];
  /** @type {Map<number, number>} */
  #pageOfRow = new Map();
  /** @type {IntersectionObserver | null} */
  #observer = null;
  #sheet = make("div", { class: "music" });
  #nextSheet = this.#sheet;
  #scrollTop = 0;
  /** The note that has the focus and waits to be drawn anew. @type {number | null} */
  #focused = null;

  /**
   * @param {object} handlers
   * @param {(row: number) => void} handlers.onNote a note was chosen
   * @param {() => boolean} [handlers.isPlaying] while it plays, a press between the notes means the nearest one
   * @param {(index: number) => void} handlers.onStretch a stretch was chosen
   * @param {(first: number, last: number) => void} handlers.onView gets the rows that are in view, roughly
   */
  constructor({ onNote, onStretch, onView, isPlaying = () => false }) {
    this.isPlaying = isPlaying;
    this.onView = onView;
    this.onNote = onNote;
    this.onStretch = onStretch;
    this.element = make("section", { class: "desk", tabindex: "0", "aria-label": words.score.region }, this.#sheet);
    this.element.append(make("p", { class: "hidden-words", id: "score-keys", text: words.score.keys }));
    this.element.setAttribute("aria-describedby", "score-keys");
    this.element.addEventListener(
      "scroll",
      debounce(() => this.#tellView(), SCROLL_PAUSE),
      { passive: true },
    );
    this.element.addEventListener("click", (event) => this.#click(event));
    this.element.addEventListener("keydown", (event) => this.#key(event));
  }

  /**
   * Begin to show new music; the old music stays until the first new picture comes.
   * @param {boolean} isFlowing
   */
  begin(isFlowing) {
    this.#plan = null;
    this.#pages = [];
    this.#pageOfRow = new Map();
    this.#nextSheet = make("div", { class: isFlowing ? "music flowing" : "music paged" });
    this.#observer?.disconnect();
    this.#observer = new IntersectionObserver((entries) => this.#fillVisible(entries), {
      root: this.element,
      rootMargin: `${NEAR} 0px`,
    });
  }

  /**
   * Take the plan of the music that is shown or comes: notes get their names and can be chosen, stretches are shaded.
   * @param {PlanView} plan
   * @param {Record<number, string>} strings names of the open strings
   * @param {number | null} selected index of the chosen stretch
   */
  setPlan(plan, strings, selected) {
    this.#plan = plan;
    this.#strings = strings;
    this.#selected = selected;
    for (const { holder } of this.#pages) {
      const drawing = /** @type {SVGElement | null} */ (holder.firstElementChild);
      if (drawing) this.#open(drawing, plan);
    }
    this.#giveFocusBack();
    if (this.#pages.length) this.#tellView();
  }

  /** @param {string} text SVG */
  addPage(text) {
    const index = this.#pages.length;
    const { width, height } = pictureSize(text);
    const holder = make("div", { class: "page", "data-page": index });
    holder.style.aspectRatio = `${width} / ${height}`;
    const rows = rowsInPicture(text);
    this.#pages.push({ holder, text, rows });
    for (const row of rows) this.#pageOfRow.set(row, index);
    if (index === 0) {
      this.#scrollTop = this.element.scrollTop;
      const { activeElement } = document;
      this.#focused = activeElement && this.#sheet.contains(activeElement) ? rowOf(activeElement) : null;
      this.#sheet.replaceWith(this.#nextSheet);
      this.#sheet = this.#nextSheet;
    }
    this.#sheet.append(holder);
    if (index === 0) this.#fillIn(holder);
    this.element.scrollTop = this.#scrollTop;
    this.#giveFocusBack();
    this.#observer?.observe(holder);
    if (index === 0 && this.#plan) this.#tellView();
  }

  /** Give the focus to the note that had it, as soon as it is drawn and can be chosen. */
  #giveFocusBack() {
    if (this.#focused === null || !this.#plan || !this.#pageOfRow.has(this.#focused)) return;
    this.#note(this.#focused)?.focus({ preventScroll: true });
    this.#focused = null;
  }

  /** Tell which rows are in view, by the height of the pages. */
  #tellView() {
    const desk = this.element.getBoundingClientRect();
    /** @type {number[]} */
    const seen = [];
    this.#pages.forEach(({ holder, rows }) => {
      if (!rows.length) return;
      const { top, height } = holder.getBoundingClientRect();
      const [from, to] = [desk.top, desk.bottom].map((edge) => Math.min(Math.max((edge - top) / (height || 1), 0), 1));
      if (from < to) seen.push(rows[Math.floor(from * (rows.length - 1))], rows[Math.ceil(to * (rows.length - 1))]);
    });
    if (seen.length) this.onView(Math.min(...seen), Math.max(...seen));
  }

  /** @param {IntersectionObserverEntry[]} entries */
  #fillVisible(entries) {
    for (const { isIntersecting, target } of entries) {
      if (isIntersecting) this.#fillIn(/** @type {HTMLElement} */ (target));
    }
  }

  /** Put the picture of a page in, unless it is there. @param {HTMLElement} holder */
  #fillIn(holder) {
    const number = Number(holder.dataset.page);
    const page = this.#pages[number];
    if (page?.holder !== holder || holder.firstChild) return;
    const drawing = picture(page.text);
    drawing.setAttribute("role", "group");
    drawing.setAttribute("aria-label", words.score.page(number + 1));
    holder.append(drawing);
    if (this.#plan) this.#open(drawing, this.#plan);
  }

  /** Open a picture to the player. @param {SVGElement} drawing @param {PlanView} plan */
  #open(drawing, plan) {
    for (const note of drawing.querySelectorAll("g.note[id]")) this.#describe(note);
    drawStretches(drawing, plan);
    this.#showSelected(drawing);
    this.#updateTabStop(drawing);
  }

  /** Make a note a button with a name. @param {Element} note */
  #describe(note) {
    const row = this.#plan?.plan[rowOf(note)];
    if (!row) return;
    note.setAttribute("role", "button");
    note.setAttribute("tabindex", "-1");
    note.setAttribute("aria-label", words.score.note(row, words.score.how(row, this.#strings)));
    if (row.string === null) note.classList.add("unplayed");
  }

  /** The element of a row; its picture is put in if it is not there yet. @param {number} row */
  #note(row) {
    const index = this.#pageOfRow.get(row);
    if (index === undefined) return null;
    const { holder } = this.#pages[index];
    this.#fillIn(holder);
    return /** @type {SVGElement | null} */ (holder.querySelector(`#n${row}`));
  }

  /** Choose a stretch. @param {number | null} index */
  select(index) {
    this.#selected = index;
    this.#showSelected(this.element);
  }

  /** @param {Element} root */
  #showSelected(root) {
    for (const mark of root.querySelectorAll("[data-excursion]")) {
      mark.classList.toggle("selected", stretchOf(mark) === this.#selected);
    }
  }

  /** Scroll until a note is in view. @param {number} row */
  reveal(row) {
    const note = this.#note(row);
    if (!note) return;
    const line = (note.closest("g.system") ?? note).getBoundingClientRect();
    const top = scrollDistance(line, this.element.getBoundingClientRect());
    if (!top) return;
    const isCalm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    this.element.scrollBy({ top, behavior: isCalm ? "auto" : "smooth" });
  }

  /** Show which notes sound now. @param {number[]} rows */
  showSounding(rows) {
    for (const note of this.element.querySelectorAll(".sounding")) note.classList.remove("sounding");
    for (const row of rows) this.#note(row)?.classList.add("sounding");
    if (rows.length) this.reveal(rows[0]);
  }

  /** A copy of all the music as it is drawn. */
  copy() {
    for (const { holder } of this.#pages) this.#fillIn(holder);
    return /** @type {Element} */ (this.#sheet.cloneNode(true));
  }

  /** Where the head of a note is in the window; null if it is not drawn. @param {number} row */
  noteBox(row) {
    return this.#note(row)?.querySelector(".notehead")?.getBoundingClientRect() ?? null;
  }

  /** Scroll until something that stands over the music leaves a note free. @param {number} row @param {DOMRect} cover */
  keepClear(row, cover) {
    const note = this.noteBox(row);
    if (!note) return;
    const distance = coveredDistance(note, cover, this.element.getBoundingClientRect().top);
    if (!distance) return;
    // The last line can only give way if there is something to scroll to below it.
    this.#sheet.style.marginBottom = `${cover.height}px`;
    this.element.scrollBy({ top: distance, behavior: "instant" });
  }

  /** What stood over the music is gone. */
  endClearing() {
    this.#sheet.style.marginBottom = "";
  }

  /** Move the focus to a note. @param {number} row */
  focus(row) {
    const note = this.#note(row);
    if (!note) return;
    this.#mark(row);
    this.reveal(row);
    note.focus({ preventScroll: true });
  }

  /** @param {number} row */
  #mark(row) {
    for (const note of this.element.querySelectorAll(".at-hand")) note.classList.remove("at-hand");
    this.#row = row;
    this.#note(row)?.classList.add("at-hand");
    this.#updateTabStop(this.element);
  }

  /** Let the tab key reach one note only: the one at hand, or the first. @param {Element} root */
  #updateTabStop(root) {
    for (const note of root.querySelectorAll('g.note[tabindex="0"]')) note.setAttribute("tabindex", "-1");
    const current = this.element.querySelector(`#n${this.#row ?? 0}`) ?? this.element.querySelector(NOTES);
    current?.setAttribute("tabindex", "0");
  }

  /** @param {MouseEvent} event */
  #click(event) {
    const target = /** @type {Element} */ (event.target);
    const near = nearestNote(target, event.clientX, event.clientY);
    const note = near ?? (this.isPlaying() ? nearestOnLine(target, event.clientX, event.clientY) : null);
    const stretch = target.closest("[data-excursion]");
    if (note) this.#choose(rowOf(note));
    else if (stretch) this.onStretch(stretchOf(stretch));
  }

  /** @param {KeyboardEvent} event */
  #key(event) {
    const note = /** @type {Element} */ (event.target).closest(NOTES);
    if (!note || !this.#plan) return;
    const row = rowOf(note);
    const next = rowAfterKey(event.key, row, this.#plan.plan.length - 1);
    const isChoice = event.key === "Enter" || event.key === " ";
    if (next !== null || isChoice) event.preventDefault();
    if (next !== null) this.focus(next);
    else if (isChoice) this.#choose(row);
  }

  /** @param {number} row */
  #choose(row) {
    this.#mark(row);
    this.onNote(row);
  }
}

/** @param {Element} note */
const rowOf = (note) => Number(note.id.slice(1));

/** @param {Element} mark */
const stretchOf = (mark) => Number(/** @type {SVGElement} */ (mark).dataset.excursion);

/** The note near a point on a page. @param {Element} target @param {number} x @param {number} y */
function nearestNote(target, x, y) {
  const heads = [...(target.closest(".page")?.querySelectorAll(`${NOTES} .notehead`) ?? [])];
  return heads[nearestHead(boxes(heads), x, y)]?.closest("g.note") ?? null;
}

/** The note nearest to a point along the line at its height. @param {Element} target @param {number} x @param {number} y */
function nearestOnLine(target, x, y) {
  const lines = [...(target.closest(".page")?.querySelectorAll("g.system") ?? [])];
  const line = lines[nearestLine(boxes(lines), y)];
  const heads = [...(line?.querySelectorAll(`${NOTES} .notehead`) ?? [])];
  return heads[nearestAlong(boxes(heads), x)]?.closest("g.note") ?? null;
}

/** @param {Element[]} elements */
const boxes = (elements) => elements.map((element) => element.getBoundingClientRect());
