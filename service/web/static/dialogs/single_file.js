// The plan as one HTML file that needs no service: the music, the cards, the decisions, and a player.

import { make } from "../elements/elements.js";
import { cardSections, proposalOf } from "../plan/card_list.js";
import { performance } from "../sound/performance.js";
import { leanMusic } from "../standalone/lean_music.js";
import { toBase64 } from "../state/bytes.js";
import { session } from "../state/session.js";
import { language } from "../text/language.js";
import { capitalize } from "../text/sentences.js";
import { words } from "../text/words.js";

/** @import { PartReview, PlanView } from "../api/answers.js" */
/** @typedef {{ music: Element, plan: PlanView, review: PartReview }} SharedWork what is on the page */

const STYLES = ["tokens", "controls", "score", "cards"].map((name) => `/page/styles/${name}.css`);
const OWN_STYLE = "/page/standalone/page.css";
const SCRIPT = "/page/standalone/page_script.js";

/** The file as text. @param {SharedWork} work @returns {Promise<string>} */
export async function singleFile({ music, plan, review }) {
  const [script, ...styles] = await Promise.all([SCRIPT, ...STYLES, OWN_STYLE].map(fetchText));
  const title = session.facts.title || session.score.name;
  const { tones } = performance(plan, { form: "plan", first: 0, last: plan.bars.length - 1, hasRepeats: true });
  const data = {
    tones: tones.map(({ string: _, ...tone }) => ({ ...tone, at: rounded(tone.at), length: rounded(tone.length) })),
    stretches: plan.excursions.map(({ rows }) => rows),
  };
  const page = document.implementation.createHTMLDocument(title);
  page.documentElement.lang = language;
  page.head.append(
    make("meta", { charset: "utf-8" }),
    make("meta", { name: "viewport", content: "width=device-width, initial-scale=1" }),
  );
  page.body.append(
    make(
      "header",
      {},
      make("h1", { text: title }),
      make("p", { text: [session.facts.composer, words.single.made].filter(Boolean).join(" · ") }),
    ),
    make(
      "main",
      {},
      sheet(music, [script, ...styles].join("\n")),
      make("ol", { class: "cards" }, cards(plan, review)),
      decisionList(),
    ),
    make("footer", {}, make("p", { text: words.single.caution })),
    player(),
    make("script", {
      type: "application/json",
      id: "music-data",
      text: JSON.stringify(data).replaceAll("<", "\\u003c"),
    }),
    make("script", { text: script }),
  );
  // As text: in this page's own documents the content policy allows no style element.
  const style = `<style>${await withFonts(styles.join("\n"))}</style></head>`;
  return `<!doctype html>\n${page.documentElement.outerHTML.replace("</head>", () => style)}\n`;
}

/** @param {number} seconds */
const rounded = (seconds) => Math.round(seconds * 1000) / 1000;

/** @param {string} address */
const fetchText = async (address) => (await fetch(address)).text();

/** Put the fonts that a style sheet names into it. @param {string} style */
async function withFonts(style) {
  const addresses = [...new Set([...style.matchAll(/url\("(\/page\/[^"]+)"\)/g)].map(([, address]) => address))];
  const fonts = await Promise.all(
    addresses.map(async (address) => {
      const bytes = new Uint8Array(await (await fetch(address)).arrayBuffer());
      return /** @type {const} */ ([address, `data:font/woff2;base64,${toBase64(bytes)}`]);
    }),
  );
  return fonts.reduce((text, [address, data]) => text.replaceAll(`url("${address}")`, `url("${data}")`), style);
}

/** The music without what only the page's own script can do. @param {Element} music @param {string} code of the file */
function sheet(music, code) {
  for (const note of music.querySelectorAll("g.note")) {
    note.removeAttribute("tabindex");
    note.setAttribute("role", "img");
    note.classList.remove("at-hand", "sounding");
  }
  for (const mark of music.querySelectorAll(".selected")) mark.classList.remove("selected");
  return leanMusic(music, code);
}

/** @param {PlanView} plan @param {PartReview} review */
function cards(plan, review) {
  return plan.excursions.map((excursion, index) =>
    make(
      "li",
      { class: "card", id: `card-${index}` },
      make(
        "h2",
        {},
        make("span", { class: "card-number", text: String(index + 1) }),
        `${capitalize(excursion.bars)}, ${words.cards.to(excursion.positions)}`,
      ),
      cardSections(excursion, proposalOf(excursion, review)),
      make("button", { type: "button", "data-stretch": index, text: words.cards.listen }),
    ),
  );
}

function decisionList() {
  const decisions = session.decisions.filter(({ part }) => part === session.part);
  if (!decisions.length) return null;
  const items = decisions.map(({ label }) => make("li", { text: label }));
  return make("section", { class: "decisions" }, make("h2", { text: words.cards.decisions }), make("ul", {}, items));
}

function player() {
  const speed = make("input", { type: "range", id: "speed", min: 40, max: 120, step: 5, value: "100" });
  speed.setAttribute("value", "100");
  return make(
    "div",
    { class: "shared-player" },
    make("button", { type: "button", id: "play", text: words.single.play }),
    make("button", { type: "button", id: "stop", text: words.hear.stop }),
    make("label", {}, words.single.speed, speed),
  );
}
