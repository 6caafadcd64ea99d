// The figures of two plans side by side.

import { make } from "../elements/elements.js";
import { explained } from "../elements/term_notes.js";
import { figureRows } from "./card_data.js";

/** @import { Figures } from "../api/answers.js" */

/**
 * A table of what two plans cost the hand.
 * @param {string} caption
 * @param {string[]} names of the two plans
 * @param {Figures} before
 * @param {Figures} after
 */
export function figureTable(caption, names, before, after) {
  const heads = names.map((text) => make("th", { scope: "col", text }));
  const rows = figureRows(before, after).map((row) =>
    make(
      "tr",
      { class: row.isBetter ? "better" : "" },
      make("th", { scope: "row" }, explained(row.name)),
      make("td", { text: String(row.before) }),
      make("td", { text: String(row.after) }),
    ),
  );
  return make(
    "table",
    { class: "figures" },
    make("caption", { text: caption }),
    make("thead", {}, make("tr", {}, make("td"), heads)),
    make("tbody", {}, rows),
  );
}
