// What picture of the fingerboard to ask for.

/** @import { Excursion, PlanView } from "../api/answers.js" */

/** Major keys by their signature, from seven flats to seven sharps. */
export const KEYS = ["Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"];

/** The major key of a signature. @param {number} fifths sharps, or flats as a negative number */
export const keyOf = (fifths) => KEYS[fifths + 7];

/**
 * The position of a stretch with its notes ringed; without a stretch, first position in the key of the part.
 * @param {PlanView} plan
 * @param {Excursion | null} excursion
 */
export function fingerboardQuery(plan, excursion) {
  const rows = (excursion?.rows ?? []).map((row) => plan.plan[row]).filter(({ string }) => string !== null);
  return {
    position: String(excursion?.positions[0] ?? 1),
    key: keyOf(excursion?.fifths ?? plan.fifths[0] ?? 0),
    notes: [...new Set(rows.map(({ string, pitch }) => `${string}:${pitch}`))].join(","),
    instrument: plan.instrument,
  };
}

/** The places of rows on the fingerboard, as its picture names them: string and key number. @param {PlanView} plan @param {number[]} rows */
export function soundingKeys(plan, rows) {
  const wanted = new Set(rows);
  return plan.sounds.flatMap(({ notes }) =>
    notes.flatMap(({ row, midi }) => (row !== null && wanted.has(row) ? [`${plan.plan[row].string}:${midi}`] : [])),
  );
}
