// American words for the page's British ones, as the reports of the service have them.

/** @type {Record<string, string>} */
const AMERICAN = { bar: "measure", bars: "measures", colour: "color" };
const BRITISH_WORD = new RegExp(`\\b(${Object.keys(AMERICAN).join("|")})\\b`, "gi");

/** @type {() => string} */
let language = () => "en-GB";

/** Say where the language of the page stands. @param {() => string} current */
export function followLanguage(current) {
  language = current;
}

/** A text in American English. @param {string} text */
export const american = (text) =>
  text.replace(BRITISH_WORD, (word) => {
    const other = AMERICAN[word.toLowerCase()];
    return word[0] === word[0].toLowerCase() ? other : other[0].toUpperCase() + other.slice(1);
  });

/**
 * The same texts, in American English while that is the language. What players and composers wrote stays as it is,
 * so groups of texts that quote titles are left out.
 * @template {object} T
 * @param {T} texts
 * @param {string[]} [quoting] names of groups that are left as they are
 * @returns {T}
 */
export function spoken(texts, quoting = []) {
  return new Proxy(texts, {
    get(target, name) {
      /** @type {any} */
      const value = Reflect.get(target, name);
      if (language() !== "en-US" || quoting.includes(String(name))) return value;
      if (typeof value === "string") return american(value);
      if (typeof value === "function") {
        return (/** @type {unknown[]} */ ...given) => {
          const said = value(...given);
          return typeof said === "string" ? american(said) : said;
        };
      }
      return typeof value === "object" && value !== null ? spoken(value) : value;
    },
  });
}
