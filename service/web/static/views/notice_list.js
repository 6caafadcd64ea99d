// What the player has to know about the whole part, above the music.

import { button, make } from "../elements/elements.js";
import { signButton } from "../elements/signs.js";
import { levelName } from "../state/option_values.js";
import { setLevel } from "../state/session.js";
import { allOf } from "../text/language.js";
import { words } from "../text/words.js";

/** @import { Notice } from "../plan/piece_map.js" */

/** Show notices; each can be closed. @param {HTMLElement} holder @param {Notice[]} notices */
export function drawNotices(holder, notices) {
  holder.replaceChildren(...notices.map(banner));
}

/** @param {Notice} notice */
function banner(notice) {
  const close = signButton("close", words.notices.close, () => element.remove(), { word: "hidden" });
  const element = make("div", { class: "notice" }, make("p", { text: noticeText(notice) }), levelButton(notice), close);
  return element;
}

/** @param {Notice} notice */
function noticeText(notice) {
  if (notice.kind === "instrument") return words.notices.instrument(notice.name, notice.instrument);
  if (notice.kind === "drawn")
    return words.notices.drawn(allOf(notice.signs.map((sign) => words.notices.signs[sign] ?? sign)));
  if (notice.kind === "unplayable") return words.notices.unplayable(notice.bars);
  return words.notices.beyond(notice.notes, notice.bars, levelName(notice.level));
}

/** @param {Notice} notice */
function levelButton(notice) {
  if (notice.kind !== "beyond") return null;
  return button(words.notices.setLevel(levelName(notice.level)), () => setLevel(notice.level));
}
