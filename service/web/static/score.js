// The engraved part: pictures put in as they come near the window, notes that can be chosen, stretches shaded.

import { make, picture } from "/page/dom.js";
import { words } from "/page/words.js";
import { shade } from "/page/shades.js";

const NEAR = "1200px";
const TOUCH = 26; // how far from a note head, in pixels of the screen, a click still means the note

export class ScoreView {
  /** `chosen(row)`: a note was chosen; `entered(index)`: a shaded stretch; `seen()`: the bars in view have changed. */
  constructor({ chosen, entered }) {
    this.chosen = chosen;
    this.entered = entered;
    this.sheet = make("div", { class: "music" });
    this.element = make("section", { class: "desk", tabindex: "0", "aria-label": words.score.region }, this.sheet);
    this.element.append(make("p", { class: "hidden-words", id: "score-keys", text: words.score.keys }));
    this.element.setAttribute("aria-describedby", "score-keys");
    this.element.addEventListener("click", (event) => this.#click(event));
    this.element.addEventListener("keydown", (event) => this.#key(event));
    this.plan = null;
    this.selected = null;
    this.row = null;
    this.pages = [];
  }

  /** Begin to show a plan; what was shown stays until the first picture of the new one is there. */
  begin(plan, strings, flowing) {
    this.plan = plan;
    this.strings = strings;
    this.flowing = flowing;
    this.pages = [];
    this.pageOfRow = new Map();
    this.fresh = make("div", { class: flowing ? "music flowing" : "music paged" });
    this.observer?.disconnect();
    this.observer = new IntersectionObserver((entries) => entries.forEach((e) => e.isIntersecting && this.#fillIn(e.target)), {
      root: this.element,
      rootMargin: `${NEAR} 0px`,
    });
  }

  addPage(text) {
    const index = this.pages.length;
    const [, width, height] = /viewBox="0 0 ([\d.]+) ([\d.]+)"/.exec(text) ?? [null, 2100, 2970];
    const holder = make("div", { class: "page", "data-page": index });
    holder.style.aspectRatio = `${width} / ${height}`;
    this.pages.push({ holder, text, width: Number(width) });
    for (const [, row] of text.matchAll(/id="n(\d+)"/g)) this.pageOfRow.set(Number(row), index);
    if (index === 0) {
      const { scrollTop } = this.element;
      this.sheet.replaceWith(this.fresh);
      this.sheet = this.fresh;
      this.sheet.append(holder);
      this.#fillIn(holder);
      this.keptScroll = scrollTop;
    } else {
      this.sheet.append(holder);
    }
    this.element.scrollTop = this.keptScroll;
    this.observer.observe(holder);
  }

  #fillIn(holder) {
    const page = this.pages[Number(holder.dataset.page)];
    if (!page || page.holder !== holder || holder.firstChild) return;
    const drawing = picture(page.text);
    drawing.setAttribute("role", "group");
    drawing.setAttribute("aria-label", words.score.page(Number(holder.dataset.page) + 1));
    holder.append(drawing);
    for (const note of drawing.querySelectorAll("g.note[id]")) {
      const row = this.plan.plan[Number(note.id.slice(1))];
      if (!row) continue;
      note.setAttribute("role", "button");
      note.setAttribute("tabindex", "-1");
      note.setAttribute("aria-label", words.score.note({ ...row, how: words.score.how(row, this.strings) }));
      if (row.string === null) note.classList.add("unplayed");
    }
    shade(drawing, this.plan);
    this.#showSelected(drawing);
    this.#rove(drawing);
  }

  /** The element of a row, put in if it is not there yet. */
  note(row) {
    const index = this.pageOfRow?.get(row);
    if (index === undefined) return null;
    this.#fillIn(this.pages[index].holder);
    return this.pages[index].holder.querySelector(`#n${row}`);
  }

  /** Choose a stretch: show it as chosen and bring it into view. */
  select(index, scroll = true) {
    this.selected = index;
    this.#showSelected(this.element);
    const excursion = this.plan?.excursions[index];
    if (excursion && scroll) this.reveal(excursion.rows[0]);
  }

  #showSelected(within) {
    for (const mark of within.querySelectorAll("[data-excursion]")) {
      mark.classList.toggle("selected", Number(mark.dataset.excursion) === this.selected);
    }
  }

  reveal(row) {
    const note = this.note(row);
    if (!note) return;
    const box = (note.closest("g.system") ?? note).getBoundingClientRect();
    const desk = this.element.getBoundingClientRect();
    const above = box.top - desk.top - 40;
    if (above >= 0 && box.bottom <= desk.bottom - 40) return;
    const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    this.element.scrollBy({ top: above, behavior: calm ? "auto" : "smooth" });
  }

  /** Show which notes sound now. */
  sounding(rows) {
    for (const note of this.element.querySelectorAll(".sounding")) note.classList.remove("sounding");
    for (const row of rows) this.note(row)?.classList.add("sounding");
    if (rows.length) this.reveal(rows[0]);
  }

  mark(row) {
    for (const note of this.element.querySelectorAll(".at-hand")) note.classList.remove("at-hand");
    this.row = row;
    if (row !== null) this.note(row)?.classList.add("at-hand");
    this.#rove(this.element);
  }

  /** One note can be reached with the tab key: the one at hand, or the first. */
  #rove(within) {
    for (const note of within.querySelectorAll('g.note[tabindex="0"]')) note.setAttribute("tabindex", "-1");
    const current = this.element.querySelector(`#n${this.row ?? 0}`) ?? this.element.querySelector("g.note[role]");
    current?.setAttribute("tabindex", "0");
  }

  focus(row) {
    const note = this.note(row);
    if (!note) return;
    this.mark(row);
    this.reveal(row);
    note.focus({ preventScroll: true });
  }

  #click(event) {
    const stretch = event.target.closest?.("[data-excursion]");
    const note = this.#nearest(event);
    if (note) {
      this.mark(Number(note.id.slice(1)));
      this.chosen(this.row);
    } else if (stretch) {
      this.entered(Number(stretch.dataset.excursion));
    }
  }

  #nearest({ clientX, clientY, target }) {
    const drawing = target.closest?.(".page");
    if (!drawing) return null;
    let best = null;
    let least = TOUCH;
    for (const head of drawing.querySelectorAll("g.note[role] .notehead")) {
      const box = head.getBoundingClientRect();
      const far = Math.hypot(clientX - box.x - box.width / 2, clientY - box.y - box.height / 2);
      if (far < least) [best, least] = [head.closest("g.note"), far];
    }
    return best;
  }

  #key(event) {
    const note = event.target.closest?.("g.note[role]");
    if (!note) return;
    const row = Number(note.id.slice(1));
    const last = this.plan.plan.length - 1;
    const steps = { ArrowRight: row + 1, ArrowLeft: row - 1, Home: 0, End: last };
    if (event.key in steps) {
      event.preventDefault();
      this.focus(Math.min(Math.max(steps[event.key], 0), last));
    } else if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      this.mark(row);
      this.chosen(row);
    }
  }
}
