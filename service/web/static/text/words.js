// Every word of the page.

import { count, language, say, translated } from "./language.js";
import { fingerWord, pitchWord, positionWord, stringName } from "./music_words.js";

/** @import { PlanRow } from "../api/answers.js" */
/** @import { Wish } from "../state/decisions.js" */
/** @typedef {Record<number, string>} Strings names of the open strings by their numbers */

const texts = {
  name: "handframe",
  skip: "Go to the music",
  start: {
    title: "Where should the left hand go?",
    lead: "Give it a violin or viola part. It comes back with fingers, strings and positions marked where they help, and a reason for each.",
    drop: "Drop a score here",
    dropWhat: "MusicXML (.musicxml, .xml, .mxl), ABC, Humdrum kern, MEI, MIDI, or a plan saved from this page",
    choose: "Choose a file…",
    paste: "Paste MusicXML or ABC",
    pasteHint: "X:1\nT:Air\nM:3/4\nL:1/4\nK:G\nB2 c | d2 g | …",
    pasteGo: "Read this",
    samples: "Or try a piece of ours",
    recent: "Go on where you stopped",
    recentWhat: (/** @type {string} */ when, /** @type {number} */ n) =>
      n === 0 ? when : count(n, "{when}, one decision", "{when}, {n} decisions", { when }),
    forget: (/** @type {string} */ title) => say("Forget: {title}", { title }),
    privacy:
      "Scores and decisions are kept in this browser. Nothing is sent to any other machine than this page's own.",
  },
  samples: {
    "ferry_waltz.musicxml": "a tune that climbs out of first position",
    "reed_crossing.musicxml": "a run that keeps changing strings",
    "evening_on_the_jetty.musicxml": "long notes that want a warm finger",
    "boathouse_reel.musicxml": "the same two bars again and again",
    "two_oars.musicxml": "double stops",
    "lantern_quartet.musicxml": "a quartet: choose the part",
    "pier_march.mxl": "repeats and endings, a compressed file",
    "first_bench.musicxml": "a piece that should be left alone",
  },
  language: "Language",
  asPage: "as the page",
  acts: {
    another: "Another score",
    undo: "Undo",
    redo: "Redo",
    share: "Share",
    save: "Save",
    print: "Print",
    part: "Part",
  },
  options: {
    group: "How to plan",
    positionsAsLevel: "as the level",
    example: (/** @type {string} */ help, /** @type {string} */ example) =>
      say("{help}, such as {example}", { help, example }),
  },
  hand: {
    name: "Hand",
    usual: "as usual",
    own: "its own",
    title: "Whose hand?",
    lead: "How much this player, teacher or house minds each of these. `handframe learn` finds it out from fingered parts and writes a file that can be read here.",
    learners: "At a learner's level, what the level asks stays as it is.",
    scales: {
      tone: "Held notes without a warm tone",
      open_strings: "Open strings",
      height: "High positions",
      shifts: "Shifts",
      stretches: "Stretches and slides",
      one_string: "A line that changes the string",
      crossings: "String crossings",
      weak_fingers: "The 3rd and 4th finger",
    },
    amounts: { muchLess: "much less", less: "less", usual: "as usual", more: "more", muchMore: "much more" },
    times: (/** @type {number} */ scale) => say("{scale} times", { scale: scale.toLocaleString(language) }),
    file: "Read a file…",
    wasRead: (/** @type {string} */ name) => say("Read from {name}.", { name }),
    notRead: (/** @type {string} */ name) => say("{name} is not a file that `handframe learn` writes.", { name }),
    use: "Use this hand",
    asUsual: "All as usual",
    close: "Close",
  },
  panel: {
    options: "Options",
    close: (/** @type {string} */ title) => say("Close: {title}", { title }),
  },
  view: {
    group: "How to show the music",
    layout: "Layout",
    flow: "Flowing",
    pages: "Pages",
    smaller: "Smaller notes",
    larger: "Larger notes",
  },
  score: {
    region: "The part with its marks",
    keys: "Arrow keys walk from note to note; Enter decides about a note.",
    note: (/** @type {PlanRow} */ row, /** @type {string} */ how) => [pitchWord(row.pitch), how, row.place].join(", "),
    how: (/** @type {PlanRow} */ row, /** @type {Strings} */ strings) =>
      row.string === null
        ? say("cannot be played")
        : row.finger === 0
          ? say("open {name} string", { name: strings[row.string] })
          : [fingerWord(row.finger), stringName(strings[row.string]), positionWord(row.position)].join(", "),
    page: (/** @type {number} */ n) => say("Page {n}", { n }),
    planned: (/** @type {number} */ n) =>
      n === 0
        ? say("Planned: first position throughout.")
        : count(n, "Planned: one passage away from first position.", "Planned: {n} passages away from first position."),
  },
  map: {
    title: "The piece at a glance",
    bar: (/** @type {{ label: string, position: number, isBeyond: boolean }} */ { label, position, isBeyond }) =>
      isBeyond
        ? say("Bar {label}: {position}, beyond the level", { label, position: positionWord(position) })
        : say("Bar {label}: {position}", { label, position: positionWord(position) }),
  },
  levels: {
    open: "Compare two levels",
    title: "Two levels side by side",
    close: "Close the levels",
    sides: ["This level", "beside this one"],
    figures: "The whole part in figures",
    gains: (/** @type {string} */ level) => say("What “{level}” adds", { level }),
    nothing: "Nothing: the hand would move as it does at the other level.",
  },
  notices: {
    close: "Close this notice",
    beyond: (/** @type {number} */ notes, /** @type {string} */ bars, /** @type {string} */ level) =>
      count(
        notes,
        "One note lies beyond this level ({bars}). The level “{level}” reaches it.",
        "{n} notes lie beyond this level ({bars}). The level “{level}” reaches them.",
        { bars: barWords(bars), level },
      ),
    setLevel: (/** @type {string} */ level) => say("Use “{level}”", { level }),
    /** @type {Record<string, string>} */
    signs: { accidentals: "accidentals", beams: "beams" },
    drawn: (/** @type {string} */ signs) =>
      say("The file has no {signs}. They are drawn here as the notes ask; the file stays as it is.", { signs }),
    unplayable: (/** @type {string} */ bars) =>
      say("Some notes cannot be played on this instrument ({bars}).", { bars: barWords(bars) }),
    instrument: (/** @type {string} */ name, /** @type {string} */ instrument) =>
      say("“{name}” names neither violin nor viola. It is planned as a {instrument} part.", {
        name,
        instrument: say(instrument),
      }),
  },
  cards: {
    filter: "Which stretches",
    filters: { all: "all", open: "not decided", decided: "decided" },
    title: "Away from first position",
    place: (/** @type {number} */ at, /** @type {number} */ all) =>
      at < 1 ? say("{all} in all", { all }) : say("{at} of {all}", { at, all }),
    next: "Next stretch",
    back: "Stretch before",
    open: "Show the whole card",
    shut: "Show less of the card",
    declined: "You stay in first position here.",
    none: "Nothing here gains from leaving first position: leave the hand where it is.",
    noneButUnreached: (/** @type {string} */ bars) =>
      say("At this level some notes cannot be reached ({bars}). Try a wider level.", { bars: barWords(bars) }),
    to: (/** @type {number[]} */ positions) =>
      positions
        .map((p) => positionWord(p))
        .filter((p, i, all) => p !== all[i - 1])
        .reduce((first, next) => say("{first}, then {next}", { first, next })),
    asked: "Played here because you or the part asked for it.",
    figures: "What changes",
    inFirst: "in first",
    planned: "planned",
    figureNames: {
      crossings: "string crossings",
      skips: "jumps over a string",
      held_weak: "long notes, open or 4th finger",
      stretches: "stretches",
      hops: "finger hops between strings",
      slides: "finger slides without a shift",
      shifts: "shifts",
      unreachable: "notes out of reach",
    },
    shifts: "How to get there and back",
    anchor: "Listen for",
    pattern: "The hand",
    alternatives: "Other ways",
    take: "Take this",
    keep: "Keep it",
    kept: "Kept",
    decline: "Stay in first",
    changeMind: "Take back",
    compare: "Compare",
    fingerboard: "Fingerboard",
    listen: "Listen",
    unmet: (/** @type {number} */ n) =>
      count(n, "One decision cannot be played as asked:", "{n} decisions cannot be played as asked:"),
    decisions: "Your decisions",
    remarks: "About the file",
    choices: "For you to decide",
    beyond: "Beyond this level",
  },
  decisions: {
    keep: (/** @type {string} */ bars, /** @type {string} */ where) => say("{bars}: kept in {where}", { bars, where }),
    decline: (/** @type {string} */ bars) => say("{bars}: stay in first position", { bars }),
    choose: (/** @type {string} */ bars, /** @type {string} */ label) => `${bars}: ${label}`,
    note: (/** @type {string} */ note, /** @type {string} */ what) => `${note}: ${what}`,
    remove: (/** @type {string} */ text) => say("Take back: {text}", { text }),
  },
  note: {
    title: (/** @type {string} */ pitch, /** @type {string} */ place) =>
      say("{note} in {place}", { note: pitchWord(pitch), place }),
    looking: "Looking for the ways to play it…",
    none: "No hand can hold this note.",
    planned: "as planned",
    nothing: "nothing else changes",
    beyond: (/** @type {number} */ n) => say("Beyond the level ({n})", { n }),
    more: {
      shifts: (/** @type {number} */ n) => count(n, "one more shift", "{n} more shifts"),
      crossings: (/** @type {number} */ n) => count(n, "one more string crossing", "{n} more string crossings"),
      skips: (/** @type {number} */ n) => count(n, "one more jump over a string", "{n} more jumps over a string"),
      held_weak: (/** @type {number} */ n) =>
        count(n, "one more long note, open or 4th finger", "{n} more long notes, open or 4th finger"),
      stretches: (/** @type {number} */ n) => count(n, "one more stretch", "{n} more stretches"),
      hops: (/** @type {number} */ n) => count(n, "one more finger hop", "{n} more finger hops"),
      slides: (/** @type {number} */ n) => count(n, "one more finger slide", "{n} more finger slides"),
      unreachable: (/** @type {number} */ n) => count(n, "one more note out of reach", "{n} more notes out of reach"),
    },
    fewer: {
      shifts: (/** @type {number} */ n) => count(n, "one fewer shift", "{n} fewer shifts"),
      crossings: (/** @type {number} */ n) => count(n, "one fewer string crossing", "{n} fewer string crossings"),
      skips: (/** @type {number} */ n) => count(n, "one fewer jump over a string", "{n} fewer jumps over a string"),
      held_weak: (/** @type {number} */ n) =>
        count(n, "one fewer long note, open or 4th finger", "{n} fewer long notes, open or 4th finger"),
      stretches: (/** @type {number} */ n) => count(n, "one fewer stretch", "{n} fewer stretches"),
      hops: (/** @type {number} */ n) => count(n, "one fewer finger hop", "{n} fewer finger hops"),
      slides: (/** @type {number} */ n) => count(n, "one fewer finger slide", "{n} fewer finger slides"),
      unreachable: (/** @type {number} */ n) => count(n, "one fewer note out of reach", "{n} fewer notes out of reach"),
    },
    others: (/** @type {string} */ bars) => say("other fingers in {bars}", { bars }),
    set: "Decide",
    play: "Play from here",
    remark: "Remark, printed and shared",
    clear: "Leave it free",
    close: "Close",
    what: (/** @type {Wish} */ { finger, string, position }, /** @type {Strings} */ strings) =>
      [
        finger !== undefined && (finger === 0 ? say("open") : fingerWord(finger)),
        string !== undefined && stringName(strings[string]),
        position !== undefined && positionWord(position),
      ]
        .filter(Boolean)
        .join(", "),
  },
  compare: {
    title: (/** @type {string} */ bars) => say("Bars {bars}, both ways", { bars }),
    home: "In first position",
    plan: "As planned",
    play: (/** @type {string} */ form) => say("Listen: {form}", { form }),
    close: "Close the comparison",
  },
  fingerboard: {
    title: "The fingerboard",
    position: "Position",
    key: "Key",
    open: "Open as a picture",
    caption: "Ringed notes are in the bars at hand. Notes of the same name in the same colour are the same pitch.",
  },
  hear: {
    group: "Listen",
    home: "In first",
    plan: "As planned",
    pause: (/** @type {string} */ form) => say("Pause: {form}", { form }),
    stop: "Stop",
    loop: "Loop",
    more: "Bars, tempo and pitch",
    bars: (/** @type {string} */ from, /** @type {string} */ to) =>
      from === to ? say("bar {number}", { number: from }) : say("bars {from}–{to}", { from, to }),
    from: "from bar",
    to: "to bar",
    tempo: "Tempo, ♩ a minute",
    faster: "Faster each round",
    fasters: { 0: "not at all", 2: "by 2 %", 5: "by 5 %", 10: "by 10 %" },
    countIn: "Count in one bar",
    click: "Metronome",
    repeats: "Play repeats and endings",
    anchor: "Anchor note",
    open: "Open string",
    a4: "A4, Hz",
  },
  save: {
    title: "Save or print",
    marked: "Marked score",
    markedWhat: (/** @type {string} */ name) => say("The same file with the marks in it: {name}", { name }),
    parts: "Marks for",
    thisPart: (/** @type {string} */ name) => say("this part ({name})", { name }),
    allParts: (/** @type {string} */ instrument) => say("every {instrument} part", { instrument: say(instrument) }),
    midi: "MIDI file",
    midiWhat: "The part to listen to or to play along with in another program, repeats played",
    report: "Report",
    reportWhat: "Where to go and why, what to listen for, and what is left to decide",
    practice: "Practice sheet",
    practiceWhat: "Exercises for exactly the shifts of this plan, to read, print or save",
    paper: "Paper",
    papers: { a4: "A4", letter: "Letter" },
    print: "Print the part",
    close: "Close",
  },
  practice: {
    title: "Practice sheet",
    back: "Back to the part",
    print: "Print the sheet",
    score: "Save as MusicXML",
    midi: "Save as MIDI",
    choices: "What stands on the sheet",
    form: "Form",
    language: "Language of the sheet",
    forms: { full: "Full sheet", card: "Card of one page" },
    heading: "Heading",
    pupil: "Name of the pupil",
    remark: "Remark",
    variants: "With all variants",
    week: "Plan for the week",
    all: "All exercises again",
    play: "Play",
    playNamed: (/** @type {string} */ name) => say("Play {name}", { name }),
    stopNamed: (/** @type {string} */ name) => say("Stop {name}", { name }),
    earlier: (/** @type {string} */ name) => say("Move up: {name}", { name }),
    later: (/** @type {string} */ name) => say("Move down: {name}", { name }),
    leaveOut: (/** @type {string} */ name) => say("Leave out: {name}", { name }),
    hear: {
      group: "Hearing the exercises",
      pace: "Tempo in per cent",
      loop: "Again and again",
      drone: "Drone",
      click: "Click",
      answer: "Pause to answer",
      stop: "Stop",
    },
  },
  single: {
    made: "planned with handframe",
    caution:
      "A stretch that hurts is wrong for this hand. Stop at pain or numbness, and ask your teacher, or for pain a doctor.",
    play: "Play all",
    speed: "Speed",
  },
  share: {
    page: "Save as a page",
    pageWhat: "One HTML file with the music, the cards and the sound. It opens anywhere, without this service.",
    marked: "Save the marked score",
    markedWhat: "The same file with the marks in it",
    local: "Only this machine can open this link: its address is a local one. For others, save a page or a file.",
    title: "Share the plan",
    link: "Link to this plan",
    linkWhat:
      "The music, the options and the decisions are in the link itself; it opens on any machine that runs this page.",
    linkLong: "This score is too long for a link. Save the plan as a file instead.",
    copy: "Copy the link",
    copied: "Copied.",
    file: "Save the plan as a file",
    fileWhat: "A small file; drop it on this page to go on where you stopped.",
  },
  parts: {
    title: "Which part?",
    lead: (/** @type {string} */ title) =>
      title
        ? say("{title} has several parts. Choose the one to plan.", { title })
        : say("This score has several parts. Choose the one to plan."),
    notes: (/** @type {number} */ n) => count(n, "one note or rest", "{n} notes and rests"),
    neither: "says neither violin nor viola",
    back: "Another score",
  },
  progress: {
    reading: (/** @type {string} */ name) => say("Reading {name}…", { name }),
    planning: (/** @type {number} */ notes) =>
      notes ? count(notes, "Planning one note…", "Planning {n} notes…") : say("Planning…"),
    drawing: "Drawing the music…",
    reviewing: "Working out the details of the cards…",
    cancel: "Cancel",
    cancelled: "Cancelled. The music is as it was.",
  },
  tunes: {
    title: "Which tune?",
    lead: (/** @type {number} */ n) =>
      count(n, "The file holds one tune.", "The file holds {n} tunes. Choose the one to plan."),
    name: (/** @type {string} */ number, /** @type {string} */ title) =>
      `${number}. ${title || say("without a title")}`,
  },
  faults: {
    retry: "Try again",
    stay: "Stay here",
    leave: "Leave it",
    close: "Close this message",
    notKept: "This browser keeps nothing. Leave this score and lose what you decided about it?",
    forgotten: "This browser does not keep that score any more. Open it again from its file.",
    connection: "The service does not answer. Is it still running?",
    badPlan: "This saved plan cannot be read.",
    badLink: "This link is damaged: it was probably cut off. Ask for it again, or for the saved file.",
    where: (/** @type {string} */ where) => say("Where: {where}.", { where }),
  },
};

/** Bars by their numbers: "bar 9", "bars 9-12, 15". @param {string} bars */
function barWords(bars) {
  return /[-,]/.test(bars) ? say("bars {numbers}", { numbers: bars }) : say("bar {number}", { number: bars });
}

/** Every text, in the language of the page. */
export const words = translated(texts);

/** The text at a path such as "save.title". @param {string} path */
export function wordAt(path) {
  /** @type {any} */
  let value = words;
  for (const key of path.split(".")) value = value?.[key];
  if (typeof value !== "string") throw new Error(`the page has no text ${path}`);
  return value;
}
