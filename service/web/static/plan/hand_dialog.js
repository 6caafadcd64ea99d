// The dialog about the hand: what its player minds more or less than usual, set here or read from a file.

import { openDialog } from "../elements/dialog.js";
import { button, coded, field, make, select } from "../elements/elements.js";
import { signButton } from "../elements/signs.js";
import { handText, readHand, readHandFile } from "../state/fingering_hand.js";
import { change, session } from "../state/session.js";
import { words } from "../text/words.js";

/** @import { Scales } from "../state/fingering_hand.js" */

/** What can be chosen, as scales; a file may hold others. @type {[number, keyof typeof words.hand.amounts][]} */
const AMOUNTS = [
  [0.5, "muchLess"],
  [0.75, "less"],
  [1, "usual"],
  [1.4, "more"],
  [2, "muchMore"],
];

/** @param {() => void} onClose */
export function openHandDialog(onClose) {
  const text = words.hand;
  const lists = make("div", { class: "hand-scales" });
  const note = make("p", { class: "fine", role: "status" });
  let scales = readHand(String(session.options.hand));
  const show = (/** @type {Scales} */ chosen) => {
    scales = { ...chosen };
    lists.replaceChildren(...Object.entries(text.scales).map(([name, label]) => field(label, scaleList(name, scales))));
  };
  const readChosen = async () => {
    const chosen = file.files?.[0];
    if (!chosen) return;
    const read = readHandFile(await chosen.text());
    if (read) show(read);
    note.replaceChildren(...coded(read ? text.wasRead(chosen.name) : text.notRead(chosen.name)));
  };
  /** @type {HTMLInputElement} */
  const file = make("input", {
    type: "file",
    id: "hand-file",
    accept: ".toml",
    class: "hidden-words",
    change: readChosen,
  });
  const use = () => {
    change((now) => {
      now.options.hand = handText(scales);
    });
    dialog.close();
  };
  const close = signButton("close", text.close, () => dialog.close(), { word: "hidden" });
  const dialog = openDialog(
    { class: "slip hand", "aria-labelledby": "hand-title" },
    [
      make("div", { class: "both-head" }, make("h2", { id: "hand-title", text: text.title }), close),
      make("p", {}, coded(text.lead)),
      make("p", { class: "fine", text: text.learners }),
      lists,
      make("div", {}, file, make("label", { class: "as-button", for: "hand-file", text: text.file })),
      note,
      make(
        "div",
        { class: "slip-acts" },
        button(text.use, use, { class: "main", id: "hand-use" }),
        button(text.asUsual, () => show({}), { id: "hand-usual" }),
      ),
    ],
    onClose,
  );
  show(scales);
}

/** @param {string} name @param {Scales} scales */
function scaleList(name, scales) {
  const scale = scales[name] ?? 1;
  /** @type {[string, string][]} */
  const entries = AMOUNTS.map(([amount, word]) => [String(amount), words.hand.amounts[word]]);
  if (!AMOUNTS.some(([amount]) => amount === scale)) entries.unshift([String(scale), words.hand.times(scale)]);
  return select(
    entries,
    String(scale),
    (value) => {
      scales[name] = Number(value);
    },
    { id: `hand-${name}` },
  );
}
