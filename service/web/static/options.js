// The controls that re-plan. Their labels, choices and limits come from `option_data.js`.

import { calmly, choice, make } from "/page/dom.js";
import { words } from "/page/words.js";
import { OPTIONS } from "/page/option_data.js";
import { change, state } from "/page/store.js";

const say = words.options;

/** Make the row of controls; `refresh` shows what undo or a saved plan has changed. */
export function optionRow() {
  const set = (name) => (value) => change((now) => (now.options[name] = value));
  const list = (name) => {
    const { label, choices, help } = OPTIONS[name];
    return choice(label, Object.entries(choices), state.options[name], set(name), { id: `option-${name}`, title: help });
  };
  const lists = Object.fromEntries(["level", "character", "fingers", "language", "printed"].map((name) => [name, list(name)]));
  const typed = {
    positions: text("positions", say.positionsAsLevel, set("positions")),
    tempo: text("tempo", OPTIONS.tempo.example, set("tempo")),
  };
  const lines = make("input", { type: "checkbox", id: "option-lines", change: () => set("range_lines")(lines.checked) });
  const element = make(
    "section",
    { class: "options", "aria-label": say.group },
    lists.level,
    typed.positions,
    lists.character,
    make("button", { type: "button", class: "fold", text: say.more, "aria-expanded": "false", click: unfold }),
    ...[lists.fingers, lists.language, lists.printed, typed.tempo, make("label", { class: "field tick" }, lines, make("span", { text: OPTIONS.range_lines.label }))].map(extra),
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

/** Return whether the service takes what is typed for an option; nothing typed is its default. */
function fits({ pattern, minimum, maximum }, typed) {
  if (typed === "") return true;
  if (pattern) return new RegExp(pattern).test(typed);
  return /^\d+(\.\d+)?$/.test(typed) && Number(typed) >= minimum && Number(typed) <= maximum;
}

function text(name, placeholder, set) {
  const option = OPTIONS[name];
  const report = calmly((value) => fits(option, value) && set(value), 500);
  const input = make("input", {
    id: `option-${name}`,
    placeholder,
    title: `${option.help}, such as ${option.example}`,
    inputmode: "numeric",
    autocomplete: "off",
    input: () => {
      const typed = input.value.trim();
      input.setAttribute("aria-invalid", String(!fits(option, typed)));
      report(typed);
    },
  });
  return make("label", { class: "field" }, make("span", { text: option.label }), input);
}
