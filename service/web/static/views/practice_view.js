// The practice sheet: exercises for the shifts of this plan, to choose, hear, read, print or save.

import * as client from "../api/client.js";
import { download } from "../elements/download.js";
import { button, byId, field, make, select, tickField } from "../elements/elements.js";
import { chooseSheet, requestOptions, session } from "../state/session.js";
import { moved, sheetQuery, without } from "../state/sheet_choices.js";
import { suffixName } from "../text/file_names.js";
import { LANGUAGES } from "../text/language.js";
import { words } from "../text/words.js";
import { ExercisePlayer } from "./exercise_player.js";

/** @import { SheetChoices } from "../state/sheet_choices.js" */

/**
 * Show the sheet in the place of the part.
 * @param {HTMLElement} bench
 * @param {string} paper
 * @param {(error: unknown) => void} showError
 */
export async function showPractice(bench, paper, showError) {
  const view = new PracticeView(paper, showError, () => {
    view.element.remove();
    bench.hidden = false;
    document.getElementById("save")?.focus();
  });
  await view.load();
  bench.hidden = true;
  bench.after(view.element);
  view.back.focus();
}

class PracticeView {
  #text = words.practice;
  #player = new ExercisePlayer();
  #sheet = make("div");

  /**
   * @param {string} paper
   * @param {(error: unknown) => void} showError
   * @param {() => void} onLeave
   */
  constructor(paper, showError, onLeave) {
    this.paper = paper;
    this.showError = showError;
    const text = this.#text;
    const leave = () => {
      this.#player.stop();
      onLeave();
    };
    this.back = button(text.back, leave, { class: "main" });
    this.element = make(
      "section",
      { class: "practice", "aria-label": text.title, tabindex: "0" },
      make(
        "div",
        { class: "practice-acts" },
        this.back,
        button(text.print, () => print(this.#sheet)),
        button(text.score, () => this.#save("musicxml", ".musicxml")),
        button(text.midi, () => this.#save("midi", ".mid")),
      ),
      this.#choiceFields(),
      this.#player.element,
      this.#sheet,
    );
  }

  /** Get the sheet as it is chosen now. */
  async load() {
    const query = sheetQuery(session.sheet, { format: "page", paper: this.paper });
    const asked = session.sheet;
    const sheet = practiceSheet(await client.practicePage(session.score, sheetOptions(), query), this.paper);
    // Whoever chooses again before the answer is there sees the later choice only.
    if (asked !== session.sheet) return;
    this.#player.stop();
    const exercises = [...sheet.querySelectorAll(".exercise")];
    for (const exercise of exercises) exercise.prepend(this.#exerciseActs(exercise, exercises.length));
    this.#sheet.replaceWith(sheet);
    this.#sheet = sheet;
  }

  /** Change the choices and show the sheet anew; what the service refuses is not kept. @param {Partial<SheetChoices>} changed */
  async #choose(changed) {
    const before = session.sheet;
    const chosen = { ...before, ...changed };
    chooseSheet(chosen);
    try {
      await this.load();
    } catch (error) {
      if (session.sheet === chosen) chooseSheet(before);
      this.showError(error);
    }
  }

  #choiceFields() {
    const text = this.#text;
    const forms = Object.entries(text.forms);
    const form = select(forms, session.sheet.form, (form) => this.#choose({ form, exercises: [] }));
    /** @type {[string, string][]} */
    const languages = [["", words.asPage], ...Object.entries(LANGUAGES)];
    const language = select(languages, session.sheet.sheet_language, (sheet_language) =>
      this.#choose({ sheet_language }),
    );
    const week = make("input", {
      type: "checkbox",
      checked: session.sheet.week,
      change: (/** @type {any} */ event) => this.#choose({ week: event.target.checked }),
    });
    const variants = make("input", {
      type: "checkbox",
      checked: session.sheet.variants,
      change: (/** @type {any} */ event) => this.#choose({ variants: event.target.checked, exercises: [] }),
    });
    return make(
      "details",
      { class: "practice-more", open: matchMedia("(min-width: 48rem) and (min-height: 34rem)").matches },
      make("summary", { text: text.choices }),
      make(
        "div",
        { class: "practice-choices" },
        field(text.form, form),
        field(text.language, language),
        this.#line("heading", 120),
        this.#line("pupil", 80),
        this.#line("remark", 500),
        tickField(text.variants, variants),
        tickField(text.week, week),
        button(text.all, () => this.#choose({ exercises: [] })),
      ),
    );
  }

  /** A field for a line of text that is printed on the sheet. @param {"heading" | "pupil" | "remark"} name @param {number} maxlength */
  #line(name, maxlength) {
    const change = (/** @type {Event} */ event) => this.#choose({ [name]: typedText(event) });
    return field(this.#text[name], make("input", { type: "text", maxlength, value: session.sheet[name], change }));
  }

  /** Buttons of one exercise: hear, move, leave out. @param {Element} exercise @param {number} count */
  #exerciseActs(exercise, count) {
    const text = this.#text;
    const { number, sound } = /** @type {HTMLElement} */ (exercise).dataset;
    const shown = exercise.querySelector(".sheet-h3")?.textContent ?? "";
    const edit = (/** @type {number} */ act, /** @type {(numbers: number[]) => number[]} */ change) => () =>
      this.#edit(Number(number), act, change);
    return make(
      "div",
      { class: "exercise-acts" },
      this.#playButton(shown, sound ?? "{}"),
      button(
        "↑",
        edit(1, (all) => moved(all, Number(number), -1)),
        { "aria-label": text.earlier(shown), title: text.earlier(shown) },
      ),
      button(
        "↓",
        edit(2, (all) => moved(all, Number(number), 1)),
        { "aria-label": text.later(shown), title: text.later(shown) },
      ),
      button(
        "×",
        edit(3, (all) => without(all, Number(number))),
        {
          "aria-label": text.leaveOut(shown),
          title: text.leaveOut(shown),
          disabled: count < 2,
        },
      ),
    );
  }

  /**
   * Change which exercises stand on the sheet; the button that was pressed, or the one in its place, keeps the focus.
   * @param {number} number of the exercise
   * @param {number} act which of its buttons
   * @param {(numbers: number[]) => number[]} change
   */
  async #edit(number, act, change) {
    const shown = [...this.#sheet.querySelectorAll(".exercise")].map((each) => Number(numberOf(each)));
    const before = session.sheet.exercises.length ? session.sheet.exercises : shown;
    if (!before.includes(number)) return; // pressed again before the sheet without it was there
    const exercises = change(before);
    await this.#choose({ exercises });
    const place = exercises.includes(number) ? exercises.indexOf(number) : before.indexOf(number);
    const now = [...this.#sheet.querySelectorAll(".exercise-acts")].at(Math.min(place, exercises.length - 1));
    /** @type {HTMLElement | undefined} */ (now?.children[act])?.focus();
  }

  /** A button that plays an exercise and, while it plays, stops it. @param {string} shown @param {string} sound */
  #playButton(shown, sound) {
    const text = this.#text;
    let isPlaying = false;
    const play = button(text.play, () => {
      if (isPlaying) this.#player.stop();
      else {
        this.#player.play(JSON.parse(sound), () => show(false));
        show(true);
      }
    });
    const show = (/** @type {boolean} */ playing) => {
      isPlaying = playing;
      play.textContent = playing ? text.hear.stop : text.play;
      play.setAttribute("aria-label", playing ? text.stopNamed(shown) : text.playNamed(shown));
    };
    show(false);
    return play;
  }

  /** @param {string} format @param {string} ending */
  async #save(format, ending) {
    try {
      const query = sheetQuery(session.sheet, { format });
      const data = await client.practiceFile(session.score, sheetOptions(), query);
      download(suffixName(session.score.name, "practice", ending), data);
    } catch (error) {
      this.showError(error);
    }
  }
}

/** The options of the plan, without those that a sheet has no use for. */
function sheetOptions() {
  const { range_lines: _, ...options } = /** @type {Record<string, any>} */ (requestOptions());
  return /** @type {ReturnType<typeof requestOptions>} */ (options);
}

/** @param {Event} event */
const typedText = (event) => /** @type {HTMLInputElement} */ (event.target).value;

/** @param {Element} exercise */
const numberOf = (exercise) => /** @type {HTMLElement} */ (exercise).dataset.number;

/** The sheet from the service's HTML, without its styles: the page has its own. @param {string} html @param {string} paper */
function practiceSheet(html, paper) {
  const page = new DOMParser().parseFromString(html.replace(/<style>.*?<\/style>/s, ""), "text/html");
  const nodes = [...page.body.childNodes].map((node) => document.importNode(node, true));
  const sheet = make("div", { class: `practice-sheet ${paper} ${page.body.className}` }, ...nodes);
  for (const heading of sheet.querySelectorAll("h1, h2, h3")) lower(heading);
  // On a phone the plan for the week is wider than the screen: the keyboard scrolls it too.
  for (const week of sheet.querySelectorAll(".week")) {
    week.setAttribute("tabindex", "0");
    week.setAttribute("role", "region");
    week.setAttribute("aria-label", week.querySelector(".sheet-h2")?.textContent ?? "");
  }
  return sheet;
}

/** Lower a heading by one level, since the page has a first heading of its own. @param {Element} heading */
function lower(heading) {
  const level = Number(heading.tagName.slice(1)) + 1;
  const tag = /** @type {"h2" | "h3" | "h4"} */ (`h${level}`);
  heading.replaceWith(make(tag, { class: `sheet-${heading.tagName.toLowerCase()}` }, ...heading.childNodes));
}

/** @param {HTMLElement} sheet */
function print(sheet) {
  const holder = byId("paper");
  holder.className = "";
  holder.replaceChildren(sheet.cloneNode(true));
  window.print();
  holder.replaceChildren();
}
