// American words for the page's British ones, as the reports of the service have them.

/** @type {Record<string, string>} */
const AMERICAN = { bar: "measure", bars: "measures", colour: "color" };
const BRITISH_WORD = new RegExp(`(?<!\\{)\\b(${Object.keys(AMERICAN).join("|")})\\b`, "gi");

/** A text in American English. @param {string} text */
export const american = (text) =>
  text.replace(BRITISH_WORD, (word) => {
    const other = AMERICAN[word.toLowerCase()];
    return word[0] === word[0].toLowerCase() ? other : other[0].toUpperCase() + other.slice(1);
  });
