// The bars at hand twice, one above the other: in first position and as planned.

import * as client from "../api/client.js";
import { button, make, picture } from "../elements/elements.js";
import { comparisonLayout } from "../music/page_layout.js";
import { barRange } from "../plan/excursions.js";
import { requestOptions, session } from "../state/session.js";
import { words } from "../text/words.js";

/** @import { Excursion, PlanView } from "../api/answers.js" */

export class Comparison {
  element = make("section", { class: "both", hidden: true });

  get isOpen() {
    return !this.element.hidden;
  }

  close() {
    this.element.hidden = true;
  }

  /**
   * Show the bars of a stretch.
   * @param {PlanView} plan
   * @param {Excursion} excursion
   * @param {number} deskPixels width of the desk
   */
  async show(plan, excursion, deskPixels) {
    const bars = barRange(plan, excursion);
    const options = { ...requestOptions(), measures: bars };
    const pictures = await client.compareBars(session.score, options, comparisonLayout(deskPixels));
    const figure = (/** @type {"home" | "plan"} */ form) => {
      const text = words.compare[form];
      const music = make(
        "div",
        { role: "img", "aria-label": `${text}: ${excursion.bars}` },
        pictures[form].map(picture),
      );
      return make("figure", { class: `form ${form}` }, make("figcaption", { text }), music);
    };
    this.element.replaceChildren(
      make("h2", { text: words.compare.title(bars) }),
      button(words.compare.close, () => this.close(), { class: "both-close" }),
      figure("home"),
      figure("plan"),
    );
    this.element.hidden = false;
  }
}
