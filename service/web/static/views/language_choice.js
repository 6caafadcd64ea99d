// The choice of the page's language. The page is loaded anew in it; the work at hand is kept and comes back.

import { field, select } from "../elements/elements.js";
import { keepLanguage, LANGUAGES, language } from "../text/language.js";
import { words } from "../text/words.js";

/** Make the choice. */
export const languageChoice = () => field(words.language, select(Object.entries(LANGUAGES), language, choose));

/** @param {string} chosen */
function choose(chosen) {
  keepLanguage(chosen);
  location.reload();
}
