// The controls that re-plan: level, positions, fingers, character, language, tempo, printed fingerings.

import { calmly, choice, make } from "/page/dom.js";
import { words } from "/page/words.js";
import { change, state } from "/page/store.js";

const say = words.options;

/** Make the row of controls; `refresh` shows what undo or a saved plan has changed. */
export function optionRow() {
  const set = (name) => (value) => change((now) => (now.options[name] = value));
  const lists = {
    level: choice(say.level, Object.entries(say.levels), state.options.level, set("level"), { id: "option-level" }),
    character: choice(say.character, Object.entries(say.characters), state.options.character, set("character"), { id: "option-character" }),
    fingers: choice(say.fingers, Object.entries(say.fingersKinds), state.options.fingers, set("fingers"), { id: "option-fingers" }),
    language: choice(say.language, Object.entries(say.languages), state.options.language, set("language"), { id: "option-language" }),
    printed: choice(say.printed, Object.entries(say.printedKinds), state.options.printed, set("printed"), { id: "option-printed" }),
  };
  const typed = {
    positions: text(say.positions, "option-positions", say.positionsAsLevel, /^\s*(\d{1,2}([,\s]+\d{1,2})*)?\s*$/, set("positions"), say.positionsHint),
    tempo: text(say.tempo, "option-tempo", "96", /^\s*(\d{2,3})?\s*$/, set("tempo"), ""),
  };
  const lines = make("input", { type: "checkbox", id: "option-lines", change: () => set("range_lines")(lines.checked) });
  const element = make(
    "section",
    { class: "options", "aria-label": say.group },
    lists.level,
    typed.positions,
    lists.character,
    make("button", { type: "button", class: "fold", text: say.more, "aria-expanded": "false", click: unfold }),
    ...[lists.fingers, lists.language, lists.printed, typed.tempo, make("label", { class: "field tick" }, lines, make("span", { text: say.lines }))].map(extra),
  );
  const refresh = () => {
    for (const [name, label] of Object.entries(lists)) label.querySelector("select").value = state.options[name];
    for (const [name, label] of Object.entries(typed)) {
      const input = label.querySelector("input");
      if (document.activeElement !== input) input.value = state.options[name];
    }
    lines.checked = Boolean(state.options.range_lines);
  };
  refresh();
  return { element, refresh };
}

/** What a narrow screen shows only when it is asked for. */
function extra(field) {
  field.classList.add("extra");
  return field;
}

function unfold({ currentTarget }) {
  const open = currentTarget.parentElement.classList.toggle("unfolded");
  currentTarget.setAttribute("aria-expanded", String(open));
}

function text(label, id, placeholder, pattern, set, title) {
  const told = calmly((value) => pattern.test(value) && set(value.trim()), 500);
  const input = make("input", {
    id,
    placeholder,
    title: title || null,
    inputmode: "numeric",
    autocomplete: "off",
    input: () => {
      const fits = pattern.test(input.value);
      input.setAttribute("aria-invalid", String(!fits));
      told(input.value);
    },
  });
  return make("label", { class: "field" }, make("span", { text: label }), input);
}
