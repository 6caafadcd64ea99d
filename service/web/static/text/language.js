// The language of the page: which one it is, and what says its texts.

import { OPTIONS } from "../state/option_data.js";
import { phrasebook } from "./phrasebook.js";

/** @import { Catalogue } from "./phrasebook.js" */

const KEY = "handframe-language";
/** Languages by their own names. @type {Record<string, string>} */
export const LANGUAGES = OPTIONS.language.choices;
/** The window of the page; tests have none. @type {any} */
const page = globalThis;
const root = page.document?.documentElement;

/** What the player has chosen here before; else what the browser asked the service for. */
export const language = keptLanguage() ?? (root?.lang in LANGUAGES ? root.lang : "en-GB");
const catalogue = await catalogueOf(language);
export const { say, count, translated, allOf, translatedNote } = phrasebook(language, catalogue);
export const { glossary } = catalogue;
if (root) root.lang = language;

function keptLanguage() {
  try {
    const value = page.localStorage.getItem(KEY) ?? "";
    return value in LANGUAGES ? value : null;
  } catch {
    return null; // a browser that keeps nothing
  }
}

/** Keep a language for the next time the page is loaded. @param {string} chosen */
export function keepLanguage(chosen) {
  try {
    page.localStorage.setItem(KEY, chosen);
  } catch {
    // Without storage the page stays in the language that the browser asks for.
  }
}

/** The texts and the glossary of a language; none if the service has none. @param {string} name @returns {Promise<Catalogue>} */
async function catalogueOf(name) {
  const answer = root ? await fetch(`/page/texts/${name}.json`) : null;
  return answer?.ok ? /** @type {Promise<Catalogue>} */ (answer.json()) : { texts: {}, notes: {}, glossary: [] };
}
