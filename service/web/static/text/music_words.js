// How the page writes positions, fingers, pitches and keys.

const POSITIONS = "half first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth".split(" ");
const FINGERS = ["open string", "1st finger", "2nd finger", "3rd finger", "4th finger"];

/** @param {number | null} position */
export const positionWord = (position) => `${POSITIONS[Number(position)] ?? `${position}th`} position`;

/** @param {number | null} finger */
export const fingerWord = (finger) => FINGERS[Number(finger)];

/** A note as players name it, with its real signs and without its octave: B♭ for Bb4. @param {string} name */
export const pitchWord = (name) =>
  name
    .replace(/-?[0-9]+$/, "")
    .replace("##", "𝄪")
    .replace("#", "♯")
    .replace("bb", "𝄫")
    .replace("b", "♭");

/** A key with its real sign: B♭ for Bb. @param {string} key */
export const keyWord = (key) => key.replace("#", "♯").replace("b", "♭");
