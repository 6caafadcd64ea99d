// How the page writes positions, fingers, strings and pitches.

/** @type {Record<number, string>} */
const ORDINAL_ENDINGS = { 1: "st", 2: "nd", 3: "rd" };
const FINGERS = ["open string", "first finger", "second finger", "third finger", "fourth finger"];
const NUMERALS = ["", "I", "II", "III", "IV"];

/** @param {number} n */
export function ordinal(n) {
  const isTeen = n % 100 > 10 && n % 100 < 14;
  return `${n}${(isTeen ? undefined : ORDINAL_ENDINGS[n % 10]) ?? "th"}`;
}

/** @param {number | null} position */
export const positionWord = (position) => (position === 0 ? "half position" : `${ordinal(Number(position))} position`);

/** @param {number | null} finger */
export const fingerWord = (finger) => FINGERS[Number(finger)];

/** The Roman numeral of a string, I for the highest. @param {number} string */
export const stringNumeral = (string) => NUMERALS[string];

/** A pitch with its real signs: B♭4 for Bb4. @param {string} name */
export const pitchWord = (name) =>
  name.replaceAll("#", "♯").replace(/^([A-G])b+/, (letters) => letters.replaceAll("b", "♭"));

/** A key with its real sign: B♭ for Bb. @param {string} key */
export const keyWord = (key) => key.replace("#", "♯").replace("b", "♭");
