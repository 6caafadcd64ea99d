// The controls that plan anew. Their labels, choices and limits come from `option_data.js`.

import { debounce } from "../elements/debounce.js";
import { button, byId, field, make, select, tickField } from "../elements/elements.js";
import { STANDARD } from "../state/fingering_hand.js";
import { CONTROLS, isAccepted } from "../state/option_values.js";
import { change, session } from "../state/session.js";
import { words } from "../text/words.js";
import { languageChoice } from "../views/language_choice.js";
import { openHandDialog } from "./hand_dialog.js";

/** @import { PageOption } from "../state/option_values.js" */

const TYPING_PAUSE = 500; // milliseconds without a key before the value counts
/** @type {("level" | "character" | "fingers" | "mark_language" | "printed")[]} */
const LISTS = ["level", "character", "fingers", "mark_language", "printed"];

/** Make the controls, the level apart from the rest; `refresh` shows the options as they are now, for example after undo. */
export function optionControls() {
  const lists = LISTS.map((name) => ({ name, control: list(name) }));
  const texts = [
    { name: /** @type {const} */ ("positions"), control: textInput("positions", words.options.positionsAsLevel) },
    { name: /** @type {const} */ ("tempo"), control: textInput("tempo", CONTROLS.tempo.example) },
  ];
  /** @type {HTMLInputElement} */
  const lines = make("input", {
    type: "checkbox",
    id: "option-lines",
    change: () => set("range_lines", lines.checked),
  });
  const [level, character, fingers, markLanguage, printed] = lists.map(({ name, control }) =>
    field(CONTROLS[name].label, control),
  );
  const [positions, tempo] = texts.map(({ name, control }) => field(CONTROLS[name].label, control));
  const hand = button("", openHand, { id: "option-hand", title: CONTROLS.hand.help });
  const tick = tickField(CONTROLS.range_lines.label, lines);
  const element = make("section", { class: "panel-fields", "aria-label": words.options.group }, [
    character,
    field(words.hand.name, hand),
    positions,
    fingers,
    printed,
    markLanguage,
    languageChoice(),
    tempo,
    tick,
  ]);
  const refresh = () => {
    for (const { name, control } of lists) control.value = String(session.options[name]);
    for (const { name, control } of texts) {
      if (document.activeElement !== control) control.value = String(session.options[name]);
    }
    hand.textContent = session.options.hand === STANDARD ? words.hand.usual : words.hand.own;
    lines.checked = Boolean(session.options.range_lines);
  };
  refresh();
  return { level, element, refresh };
}

/** A dialog closes the panel; the focus goes back to the button that opens it. */
function openHand() {
  openHandDialog(() => byId("options-button").focus());
}

/** @param {PageOption} name @param {string | boolean} value */
function set(name, value) {
  change((now) => {
    now.options[name] = value;
  });
}

/** @param {typeof LISTS[number]} name */
function list(name) {
  const { choices, help } = CONTROLS[name];
  const attributes = { id: `option-${name}`, title: help };
  /** @type {[string, string][]} */
  const entries = name === "mark_language" ? [["", words.asPage], ...Object.entries(choices)] : Object.entries(choices);
  return select(entries, String(session.options[name]), (value) => set(name, value), attributes);
}

/** @param {"positions" | "tempo"} name @param {string} placeholder */
function textInput(name, placeholder) {
  const option = CONTROLS[name];
  const report = debounce((/** @type {string} */ text) => isAccepted(option, text) && set(name, text), TYPING_PAUSE);
  const input = make("input", {
    id: `option-${name}`,
    placeholder,
    title: words.options.example(option.help, option.example),
    inputmode: "numeric",
    autocomplete: "off",
    input: () => {
      const text = input.value.trim();
      input.setAttribute("aria-invalid", String(!isAccepted(option, text)));
      report(text);
    },
  });
  return input;
}
