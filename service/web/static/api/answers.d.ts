// What the service sends to the page, as far as the page reads it. `tests/page` compares it with recorded answers.

/** A part that a score lists. */
export interface ScorePart {
  id: string;
  name: string;
  instrument: string | null;
  notes: number;
}

/** What is in a score. */
export interface Facts {
  kind: string;
  title: string;
  composer: string;
  parts: ScorePart[];
  /** Parts for the instrument, by id. */
  suited: string[];
  /** MusicXML in base64, if the score had another format. */
  converted: string | null;
  /** What is to be said of a score in another format, or of an archive with several. */
  remarks: string[];
  /** The tunes of a collection; empty for any other score. */
  tunes: { number: string; title: string }[];
}

export interface Sample {
  file: string;
  title: string;
}

/** A row of the plan: one note, and how the left hand plays it. String, finger and position are null if it cannot. */
export interface PlanRow {
  measure: string;
  /** Where it stands, as musicians count: "bar 12, beat 3". */
  place: string;
  pitch: string;
  string: number | null;
  finger: number | null;
  position: number | null;
  /** The string in first position. */
  home_string: number | null;
}

/** A shift to a position. */
export interface Arrival {
  rows: number[];
  from: number;
  to: number;
}

/** A stretch away from first position. */
export interface Excursion {
  /** Number of its proposal in the review, from 1. */
  proposal: number | null;
  reasons: string[];
  bars: string;
  /** First and last bar, as indexes into `bars` of the plan. */
  measures: number[];
  positions: number[];
  rows: number[];
  pins: string[];
  arrivals: Arrival[];
  anchor_midi: number | null;
  fifths: number;
}

export interface SoundNote {
  row: number | null;
  midi: number;
  /** Length in quarter notes. */
  beats: number;
}

/** Notes that begin together. */
export interface SoundEvent {
  measure: number;
  /** Quarter notes from the beginning. */
  onset: number;
  grace: boolean;
  slurred: boolean;
  /** Quarter notes a minute; 0 for a grace note. */
  tempo: number;
  notes: SoundNote[];
}

export interface OpenString {
  string: number;
  pitch: string;
  midi: number;
}

/** The plan of one part, as the page first gets it. */
export interface PlanView {
  part: string;
  instrument: string;
  plan: PlanRow[];
  excursions: Excursion[];
  sounds: SoundEvent[];
  bars: string[];
  /** Indexes of the bars in playing order, repeats and endings followed. */
  order: number[];
  /** What the file lacks and the picture has: "accidentals", "beams". */
  drawn: string[];
  /** Where each bar begins, in quarter notes. */
  starts: number[];
  /** The time signature of each bar: beats and unit. */
  meters: number[][];
  fifths: number[];
  quarter_tempo: number;
  open_strings: OpenString[];
}

/** Another way to play a stretch. */
export interface Alternative {
  label: string;
  text: string;
  /** Whether it is nearly as good as the proposal. */
  near: boolean;
  pins: string[];
}

export interface Anchor {
  position: number;
  /** How to find it by ear. */
  how?: string | null;
}

/** What a plan costs the hand, by kind. */
export interface Figures {
  crossings: number;
  skips: number;
  held_weak: number;
  stretches: number;
  hops: number;
  slides: number;
  shifts: number;
  unreachable: number;
}

export interface Proposal {
  /** In one or two sentences: the bars, the positions and the reasons. */
  summary: string;
  before: Figures;
  after: Figures;
  steps: string[];
  anchors: Anchor[];
  patterns: { text: string }[];
  alternatives: Alternative[];
}

/** What is left for the player to decide. */
export interface Choice {
  text: string;
  beyond_level: boolean;
}

/** The review of one part, which follows the plan. */
export interface PartReview {
  counts: Figures;
  level_needed: { level: string; measures: string[]; unplayable_measures: string[] };
  beyond_measures: string[];
  /** What each bar asks of the hand; bars in the order of the part. */
  difficulty: { bars: { measure: string; per_second: number }[] };
  proposals: Proposal[];
  choices: Choice[];
  unmet: { text: string }[];
  remarks: string[];
}

/** One way to take a note, and what it costs nearby. */
export interface NoteChoice {
  string: number;
  finger: number;
  position: number | null;
  within_level: boolean;
  /** By how much more effort the music nearby takes than in the plan. */
  rise: number;
  before: Figures;
  after: Figures;
  /** Bars that are taken otherwise; empty if none. */
  changed: string;
}

/** The bars at hand in both forms, as SVG. */
export interface Comparison {
  home: string[];
  plan: string[];
  /** Rows that are not played alike in both forms. */
  differs: number[];
}

/** A problem by RFC 9457 with members of the service's own. */
export interface Problem {
  detail: string;
  where?: string | null;
  advice?: string;
  code?: string;
}

/** One line of the stream that shows a part. */
export type ViewLine =
  | { type: "page"; piece: number; pieces: number; picture: string }
  | { type: "plan"; plan: PlanView }
  | { type: "review"; review: { parts: PartReview[] } }
  | { type: "fault"; fault: Problem };
