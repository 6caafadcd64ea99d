// Two levels side by side: what a wider level gains, and what it asks for.

import * as client from "../api/client.js";
import { errorText } from "../api/service_error.js";
import { openDialog } from "../elements/dialog.js";
import { button, field, make, select } from "../elements/elements.js";
import { signButton } from "../elements/signs.js";
import { figureTable } from "../plan/figure_table.js";
import { gains, levelPair } from "../plan/level_pair.js";
import { CONTROLS, levelName } from "../state/option_values.js";
import { requestOptions, session, setLevel } from "../state/session.js";
import { words } from "../text/words.js";

/** @import { PartReview } from "../api/answers.js" */

/** @type {[string, string][]} */
const LEVELS = Object.entries(CONTROLS.level.choices);

/** @param {string} level the present one */
export async function openLevels(level) {
  const pair = levelPair(
    LEVELS.map(([name]) => name),
    level,
  );
  const body = make("div", { class: "levels-body", "aria-live": "polite" });
  const lists = pair.map((name, side) =>
    select(LEVELS, name, (value) => show(value, side), { "aria-label": words.levels.sides[side], id: `level-${side}` }),
  );
  const close = signButton("close", words.levels.close, () => dialog.close(), { word: "hidden" });
  const dialog = openDialog({ class: "slip levels", "aria-labelledby": "levels-title" }, [
    make("div", { class: "both-head" }, make("h2", { id: "levels-title", text: words.levels.title }), close),
    make(
      "div",
      { class: "levels-choice" },
      lists.map((list, side) => field(words.levels.sides[side], list)),
    ),
    body,
  ]);

  /** @param {string} name @param {number} side */
  function show(name, side) {
    pair[side] = name;
    return fill();
  }

  async function fill() {
    const asked = pair.join();
    body.replaceChildren(make("p", { class: "fine", text: words.progress.planning(0) }));
    try {
      const reviews = await Promise.all(pair.map((name) => client.reviewScore(session.score, optionsAt(name))));
      if (asked === pair.join()) body.replaceChildren(...content(pair, reviews, () => dialog.close()));
    } catch (error) {
      body.replaceChildren(make("p", { text: errorText(error) }), button(words.faults.retry, fill));
    }
  }
  await fill();
}

/** @param {string} level */
const optionsAt = (level) => ({ ...requestOptions(), level, positions: undefined });

/**
 * @param {string[]} pair
 * @param {PartReview[]} reviews
 * @param {() => void} close
 */
function content(pair, [left, right], close) {
  const names = pair.map(levelName);
  const found = gains(left, right);
  const use = (/** @type {string} */ level) => () => {
    close();
    setLevel(level);
  };
  return [
    figureTable(words.levels.figures, names, left.counts, right.counts),
    make("h3", { text: words.levels.gains(names[1]) }),
    found.length
      ? make(
          "ul",
          { class: "levels-gains" },
          found.map(({ summary }) => make("li", { text: summary })),
        )
      : make("p", { text: words.levels.nothing }),
    make(
      "div",
      { class: "slip-acts" },
      pair.map((level, side) => button(words.notices.setLevel(names[side]), use(level))),
    ),
  ];
}
