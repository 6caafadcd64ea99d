// How the page writes positions, fingers, strings, pitches and keys.

import { say, translatedNote } from "./language.js";

/** @import { PlanView } from "../api/answers.js" */

const POSITIONS = [
  "half position",
  "first position",
  "second position",
  "third position",
  "fourth position",
  "fifth position",
  "sixth position",
  "seventh position",
  "eighth position",
  "ninth position",
  "tenth position",
  "eleventh position",
  "twelfth position",
];
const FINGERS = ["open string", "1st finger", "2nd finger", "3rd finger", "4th finger"];

/** @param {number | null} position */
export const positionWord = (position) =>
  Number(position) in POSITIONS
    ? say(POSITIONS[Number(position)])
    : say("{number}th position", { number: String(position) });

/** @param {number | null} finger */
export const fingerWord = (finger) => say(FINGERS[Number(finger)] ?? "");

/** A string by its name: "A string". @param {string} name */
export const stringName = (name) => say("{name} string", { name });

/** The names of the open strings by their numbers. @param {PlanView} plan @returns {Record<number, string>} */
export const stringNames = (plan) =>
  Object.fromEntries(plan.open_strings.map(({ string, pitch }) => [string, pitchWord(pitch)]));

/** A note as players name it, with its real signs and without its octave: B♭ for Bb4. @param {string} name */
export const pitchWord = (name) => noteWord(name.replace(/-?[0-9]+$/, ""));

/** A key by its keynote, with its real sign: B♭ for Bb. @param {string} key */
export const keyWord = (key) => noteWord(key);

/** @param {string} name */
const noteWord = (name) =>
  translatedNote(name) ?? name.replace("##", "𝄪").replace("#", "♯").replace("bb", "𝄫").replace("b", "♭");
