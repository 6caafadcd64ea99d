// Deciding about one note: its finger, its string, the position in which it is played.

import { button, make } from "/page/dom.js";
import { fingerWord, numeral, positionWord, words } from "/page/words.js";
import { decide, state, takeBack } from "/page/store.js";

const POSITIONS = 10;

/** Show the sheet for a note; `closed` is called when it is gone. */
export function noteSheet(plan, row, strings, closed) {
  const note = plan.plan[row];
  const made = state.decisions.find((d) => d.part === state.part && d.kind === "note" && d.rows[0] === row);
  const chosen = made ? { ...made.wish } : {};
  const dialog = make("dialog", { class: "slip note-slip", "aria-labelledby": "note-title" });
  const done = () => dialog.close();
  const set = () => {
    const wish = Object.fromEntries(Object.entries(chosen).filter(([, value]) => value !== undefined));
    if (!Object.keys(wish).length) return clear();
    const pin = `n${row}:${Object.entries(wish).map(([name, value]) => `${name}=${value}`).join(",")}`;
    const title = words.note.title(note.pitch, note.measure, note.beat);
    decide({ kind: "note", part: state.part, rows: [row], pins: [pin], wish, label: words.decisions.note(title, words.note.what(wish, strings)) });
    done();
  };
  const clear = () => {
    if (made) takeBack(made);
    done();
  };
  const say = words.note;
  const fingers = [0, 1, 2, 3, 4].map((f) => [f, f === 0 ? say.open : String(f), fingerWord(f)]);
  const onStrings = Object.keys(strings).map((s) => [Number(s), numeral(Number(s)), `${strings[s]} string`]);
  const positions = Array.from({ length: POSITIONS }, (_, p) => [p, p === 0 ? "½" : String(p), positionWord(p)]);
  dialog.append(
    make("h2", { id: "note-title", text: say.title(note.pitch, note.measure, note.beat) }),
    make("p", { text: say.now(words.score.how(note, strings)) }),
    row_of("finger", say.finger, fingers, chosen),
    row_of("string", say.string, onStrings, chosen),
    row_of("position", say.position, positions, chosen),
    make(
      "div",
      { class: "slip-acts" },
      button(say.set, set, { class: "main" }),
      made ? button(say.clear, clear) : null,
      button(say.close, done),
    ),
  );
  dialog.addEventListener("close", () => {
    dialog.remove();
    closed();
  });
  document.getElementById("sheets").append(dialog);
  dialog.showModal();
}

function row_of(name, title, choices, chosen) {
  const group = make("fieldset", { class: "picks" }, make("legend", { text: title }));
  for (const [value, text, full] of [[undefined, words.note.free, words.note.free], ...choices]) {
    const input = make("input", { type: "radio", name, checked: chosen[name] === value, "aria-label": full, change: () => (chosen[name] = value) });
    group.append(make("label", {}, input, make("span", { text })));
  }
  return group;
}
