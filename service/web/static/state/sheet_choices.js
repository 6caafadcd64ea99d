// What a teacher chooses for the practice sheet: its form, which exercises in which order, and what is added.

/**
 * @typedef {object} SheetChoices
 * @property {string} form "full" or "card"
 * @property {number[]} exercises by their numbers on the whole sheet, in order; empty for all
 * @property {string} heading
 * @property {string} pupil
 * @property {string} remark
 * @property {boolean} variants whether every variant of an exercise is printed
 * @property {boolean} week whether a plan for the week is printed
 * @property {string} sheet_language its language; empty for that of the page
 */

/** @type {SheetChoices} */
export const WHOLE_SHEET = {
  form: "full",
  exercises: [],
  heading: "",
  pupil: "",
  remark: "",
  variants: false,
  week: true,
  sheet_language: "",
};

/** The query of a request for a sheet: what differs from the whole sheet. @param {SheetChoices} choices @param {Record<string, string>} [more] */
export function sheetQuery(choices, more = {}) {
  const query = new URLSearchParams(more);
  for (const [name, value] of Object.entries(changedChoices(choices))) query.set(name, String(value));
  return query;
}

/** The choices that differ from the whole sheet. @param {SheetChoices} choices @returns {Partial<SheetChoices>} */
export function changedChoices(choices) {
  return Object.fromEntries(
    Object.entries(choices).filter(
      ([name, value]) => String(value) !== String(WHOLE_SHEET[/** @type {keyof SheetChoices} */ (name)]),
    ),
  );
}

/** The numbers with one of them moved by so many places. @param {number[]} numbers @param {number} number @param {number} by */
export function moved(numbers, number, by) {
  const from = numbers.indexOf(number);
  const to = Math.min(Math.max(from + by, 0), numbers.length - 1);
  return numbers.toSpliced(from, 1).toSpliced(to, 0, number);
}

/** The numbers without one of them; the last one stays. @param {number[]} numbers @param {number} number */
export const without = (numbers, number) =>
  numbers.length > 1 ? numbers.filter((other) => other !== number) : numbers;
