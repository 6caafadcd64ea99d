// The view in which a part is worked on: music, cards, neck, listening bar.

import { button, choice, make, picture } from "/page/dom.js";
import { words } from "/page/words.js";
import { requestOptions, state } from "/page/store.js";
import * as service from "/page/service.js";
import { ScoreView } from "/page/score.js";
import { drawCards } from "/page/cards.js";
import { HearBar } from "/page/hear.js";
import { Neck } from "/page/neck.js";
import { noteSheet } from "/page/note.js";
import { optionRow } from "/page/options.js";
import { practiceView } from "/page/practice.js";

const STAFF = 72; // units of the engraver a staff is high
const STAFF_PIXELS = 34;
const WIDE = 840; // pixels of a desk on which the comparison need not be smaller than the part
const SHEET = { width: 2160, height: 3055, margin: 110 };
const PAPERS = { a4: { width: 2160, height: 3055, margin: 150 }, letter: { width: 2222, height: 2875, margin: 150 } };
const ZOOMS = [0.6, 0.7, 0.8, 0.9, 1, 1.15, 1.3, 1.5, 1.8, 2.2];

export class Workbench {
  constructor(holder, { say, fault, hush }) {
    Object.assign(this, { say, fault, hush });
    this.zoom = ZOOMS.indexOf(1);
    this.mode = "flow";
    this.selected = null;
    this.current = null;
    this.score = new ScoreView({ chosen: (row) => this.#note(row), entered: (index) => this.select(index, false) });
    this.hear = new HearBar({ sounding: (rows) => this.score.sounding(rows) });
    this.neck = new Neck();
    this.options = optionRow();
    this.cards = make("div", { class: "card-column" });
    this.both = make("section", { class: "both", hidden: true });
    this.element = make(
      "div",
      { class: "bench" },
      make("div", { class: "settings" }, this.options.element, this.#viewTools()),
      make("div", { class: "music-side" }, this.both, this.score.element),
      make("aside", { class: "margin", "aria-labelledby": "cards-title", tabindex: "0" }, this.cards, this.neck.element),
      this.hear.element,
    );
    holder.replaceChildren(this.element);
  }

  #viewTools() {
    const say = words.view;
    return make(
      "section",
      { class: "view-tools", "aria-label": say.group },
      choice(say.layout, [["flow", say.flow], ["pages", say.pages]], this.mode, (mode) => this.#show({ mode }), { id: "view-mode" }),
      button("−", () => this.#show({ zoom: this.zoom - 1 }), { "aria-label": say.smaller, class: "round" }),
      button("+", () => this.#show({ zoom: this.zoom + 1 }), { "aria-label": say.larger, class: "round" }),
    );
  }

  #show({ mode = this.mode, zoom = this.zoom }) {
    const laid = mode !== this.mode || mode === "flow";
    this.mode = mode;
    this.zoom = Math.min(Math.max(zoom, 0), ZOOMS.length - 1);
    this.#setWidth();
    if (laid) this.plan();
  }

  #setWidth() {
    this.score.element.style.setProperty("--sheet", `${Math.round(860 * ZOOMS[this.zoom])}px`);
  }

  #layout() {
    if (this.mode === "pages") return SHEET;
    const pixels = Math.max(300, this.score.element.clientWidth - 56);
    return { width: Math.round((pixels * STAFF) / (STAFF_PIXELS * ZOOMS[this.zoom])), height: 0, margin: 0 };
  }

  /** Plan the part and show it; what is shown stays until the new music is there. */
  async plan(isNew = false) {
    this.asked?.abort();
    const asked = (this.asked = new AbortController());
    this.say(words.score.planning);
    this.score.element.setAttribute("aria-busy", "true");
    let flowing = this.mode === "flow";
    this.laidOut = this.score.element.clientWidth;
    try {
      await service.view(state.score, requestOptions(), this.#layout(), {
        signal: asked.signal,
        plan: (plan) => this.#taken(plan, isNew, flowing),
        page: (text) => this.score.addPage(text),
        review: (review) => this.#reviewed(review),
      });
      this.say(words.score.planned(this.current.excursions.length));
      this.score.element.removeAttribute("aria-busy");
    } catch (error) {
      if (error.name === "AbortError") return;
      this.say("");
      this.score.element.removeAttribute("aria-busy");
      this.fault(error);
    }
  }

  #taken(plan, isNew, flowing) {
    const rows = this.current?.excursions[this.selected]?.rows ?? [];
    this.current = plan;
    this.strings = Object.fromEntries(plan.open_strings.map(({ string, pitch }) => [string, pitch.replace(/\d+$/, "")]));
    this.selected = isNew ? (plan.excursions.length ? 0 : null) : this.#same(plan, rows);
    this.score.begin(plan, this.strings, flowing);
    this.score.selected = this.selected;
    this.hear.take(plan, isNew);
    this.#chosen();
    if (!this.both.hidden) this.compare(this.selected);
  }

  #reviewed(review) {
    this.current.review = review;
    this.#drawCards();
  }

  /** The stretch of a new plan that lies where the chosen one lay. */
  #same(plan, rows) {
    const found = plan.excursions.findIndex((one) => one.rows.some((row) => rows.includes(row)));
    return found < 0 ? null : found;
  }

  #chosen() {
    const excursion = this.current.excursions[this.selected] ?? null;
    this.hear.choose(excursion);
    this.neck.take(this.current, excursion, state.options.language);
    this.#drawCards();
  }

  #drawCards() {
    drawCards(this.cards, this.current, this.selected, {
      select: (index) => this.select(index),
      compare: (index) => this.compare(index),
      listen: () => this.hear.playPlan(),
      neck: () => this.neck.show(),
    });
  }

  select(index, scroll = true) {
    this.selected = index;
    this.score.select(index, scroll);
    this.#chosen();
    if (!scroll) this.cards.querySelector(".card.open")?.scrollIntoView({ block: "nearest" });
    if (!this.both.hidden) this.compare(index);
  }

  /** The bars at hand twice, one above the other. */
  async compare(index) {
    const excursion = this.current.excursions[index];
    if (!excursion) return void (this.both.hidden = true);
    const [first, last] = excursion.measures.map((measure) => this.current.bars[measure]);
    const bars = first === last ? first : `${first}-${last}`;
    const pixels = this.score.element.clientWidth - 72;
    const layout = { height: 0, margin: 0, width: Math.round((pixels * STAFF) / (STAFF_PIXELS * (pixels < WIDE ? 0.7 : 0.85))) };
    try {
      const both = await service.compare(state.score, { ...requestOptions(), measures: bars }, layout);
      const say = words.compare;
      const form = (name) => make("figure", { class: `form ${name}` }, make("figcaption", { text: say[name] }), make("div", { role: "img", "aria-label": `${say[name]}: ${excursion.bars}` }, both[name].map(picture)));
      this.both.replaceChildren(
        make("h2", { text: say.title(bars) }),
        button(say.close, () => (this.both.hidden = true), { class: "both-close" }),
        form("home"),
        form("plan"),
      );
      this.both.hidden = false;
    } catch (error) {
      this.fault(error);
    }
  }

  #note(row) {
    this.hear.stop();
    noteSheet(this.current, row, this.strings, () => this.score.focus(row));
  }

  /** Show the practice sheet instead of the part, until the part is asked for again. */
  async practice(paper) {
    this.hear.stop();
    await practiceView(this.element, paper, this.fault);
  }

  /** Put the part on paper: laid out anew for the sheet, without shades. */
  async print(paper) {
    const holder = document.getElementById("paper");
    holder.className = paper;
    const pages = [];
    await service.view(state.score, requestOptions(), PAPERS[paper], { page: (text) => pages.push(text) });
    holder.replaceChildren(...pages.map((text) => make("div", { class: "leaf" }, withoutIds(picture(text)))));
    await new Promise((drawn) => requestAnimationFrame(() => requestAnimationFrame(drawn)));
    window.print();
  }

  changed() {
    this.options.refresh();
    this.plan();
  }

  resized() {
    if (this.mode === "flow" && Math.abs(this.score.element.clientWidth - this.laidOut) > 8) this.plan();
  }

  leave() {
    this.asked?.abort();
    this.hear.stop();
  }
}

/** Notes on paper must not be found instead of those on the screen. */
function withoutIds(drawing) {
  for (const note of drawing.querySelectorAll("g.note[id]")) note.removeAttribute("id");
  return drawing;
}
