// The rail along the top: the way back, the piece, the level, and what can be done. On a small screen all but the level
// waits in the panel of options.

import { button, byId, field, make, select } from "../elements/elements.js";
import { opensPanel, panel } from "../elements/panel.js";
import { signButton } from "../elements/signs.js";
import * as state from "../state/session.js";
import { session } from "../state/session.js";
import { words } from "../text/words.js";

/**
 * @typedef {object} RailActions
 * @property {() => void} another
 * @property {() => void} share
 * @property {() => void} print
 * @property {() => void} save
 */

const SMALL = matchMedia("(max-width: 48rem)");
const PANEL = "options";

export class Rail {
  #acts = make("div", { class: "acts" });
  #panelActs = make("div", { class: "panel-row" });
  #holder = byId("tools");
  #way = byId("way");

  /** @param {RailActions} actions */
  constructor(actions) {
    this.actions = actions;
    SMALL.addEventListener("change", () => this.#place());
  }

  /** Show a piece with its level, options and tools. @param {HTMLElement} level @param {HTMLElement[]} options */
  open(level, options) {
    const text = words.panel.options;
    const panelButton = signButton("options", text, null, {
      word: "spare",
      id: "options-button",
      ...opensPanel(PANEL),
    });
    this.#way.replaceChildren(
      signButton("back", words.acts.another, this.actions.another, { word: "hidden", id: "another" }),
    );
    this.#holder.replaceChildren(
      level,
      panelButton,
      this.#acts,
      panel(PANEL, text, "top", [this.#panelActs, ...options]),
    );
    this.draw();
  }

  close() {
    this.#way.replaceChildren();
    this.#holder.replaceChildren();
  }

  /** Draw the buttons anew; the focus stays where it was. */
  draw() {
    const text = words.acts;
    const focus = this.#acts.contains(document.activeElement) ? document.activeElement?.id : "";
    const act = (/** @type {() => void} */ action) => () => {
      document.getElementById(PANEL)?.hidePopover();
      action();
    };
    this.#acts.replaceChildren(
      ...(session.facts.parts.length > 1 ? [partChoice()] : []),
      signButton("undo", text.undo, state.undo, { word: "hidden", disabled: !state.canUndo(), id: "undo" }),
      signButton("redo", text.redo, state.redo, { word: "hidden", disabled: !state.canRedo(), id: "redo" }),
      signButton("print", text.print, act(this.actions.print), { word: "hidden", id: "print" }),
      signButton("share", text.share, act(this.actions.share), { word: "spare", id: "share" }),
      button(text.save, act(this.actions.save), { id: "save", class: "main" }),
    );
    this.#place();
    if (focus) document.getElementById(focus)?.focus();
  }

  /** Put the buttons where there is room for them. */
  #place() {
    if (SMALL.matches) this.#panelActs.append(this.#acts);
    else document.getElementById("options-button")?.after(this.#acts);
  }
}

function partChoice() {
  const choose = (/** @type {string} */ part) =>
    state.change((now) => {
      now.part = part;
    });
  const parts = session.facts.parts.map(({ id, name }) => /** @type {[string, string]} */ ([id, name]));
  return field(words.acts.part, select(parts, session.part, choose, { id: "part" }));
}
