// A small invented plan: two bars of violin music with a shift under a slur, and what else the service says, for the tests.

/** @import { Excursion, Facts, Figures, PartReview, PlanRow, PlanView } from "../../service/web/static/api/answers.js" */

/** @param {Partial<PlanRow>} values @returns {PlanRow} */
export function row(values = {}) {
  return {
    measure: "1",
    place: "bar 1, beat 1",
    pitch: "A4",
    string: 2,
    finger: 1,
    position: 1,
    home_string: 2,
    ...values,
  };
}

/** @param {Partial<Excursion>} values @returns {Excursion} */
export function excursion(values = {}) {
  return {
    proposal: 1,
    reasons: [],
    bars: "bars 1 to 2",
    measures: [0, 1],
    positions: [3],
    rows: [1, 2],
    pins: ["n1:finger=1,string=2,position=3", "n2:finger=3,string=2,position=3"],
    arrivals: [{ rows: [1], from: 1, to: 3 }],
    anchor_midi: 74,
    fifths: 1,
    ...values,
  };
}

/** @param {Partial<PlanView>} values @returns {PlanView} */
export function plan(values = {}) {
  return {
    part: "P1",
    instrument: "violin",
    plan: [
      row({ pitch: "B4", string: 2, finger: 1 }),
      row({ pitch: "D5", string: 2, finger: 1, position: 3, home_string: 2 }),
      row({ measure: "2", pitch: "F#5", string: 2, finger: 3, position: 3, home_string: 1 }),
    ],
    excursions: [excursion()],
    sounds: [
      { measure: 0, onset: 0, grace: false, slurred: false, tempo: 60, notes: [{ row: 0, midi: 71, beats: 1 }] },
      { measure: 0, onset: 1, grace: false, slurred: true, tempo: 60, notes: [{ row: 1, midi: 74, beats: 1 }] },
      { measure: 1, onset: 2, grace: true, slurred: false, tempo: 0, notes: [{ row: null, midi: 76, beats: 0 }] },
      { measure: 1, onset: 2, grace: false, slurred: true, tempo: 60, notes: [{ row: 2, midi: 78, beats: 2 }] },
    ],
    bars: ["5", "6"],
    drawn: [],
    order: [0, 1],
    starts: [0, 2],
    meters: [
      [2, 4],
      [2, 4],
    ],
    fifths: [2, 2],
    quarter_tempo: 60,
    open_strings: [
      { string: 1, pitch: "E5", midi: 76 },
      { string: 2, pitch: "A4", midi: 69 },
    ],
    ...values,
  };
}

/** @param {Partial<Facts>} values @returns {Facts} */
export function facts(values = {}) {
  return {
    kind: "xml",
    title: "",
    composer: "",
    parts: [],
    suited: [],
    converted: null,
    remarks: [],
    tunes: [],
    ...values,
  };
}

/** @param {Partial<Figures>} values @returns {Figures} */
export function figures(values = {}) {
  return {
    crossings: 0,
    skips: 0,
    held_weak: 0,
    stretches: 0,
    hops: 0,
    slides: 0,
    shifts: 0,
    unreachable: 0,
    ...values,
  };
}

/** @param {Partial<PartReview>} values @returns {PartReview} */
export function review(values = {}) {
  return {
    counts: figures(),
    level_needed: { level: "first", measures: [], unplayable_measures: [] },
    beyond_measures: [],
    difficulty: { bars: [] },
    proposals: [],
    choices: [],
    unmet: [],
    remarks: [],
    ...values,
  };
}
