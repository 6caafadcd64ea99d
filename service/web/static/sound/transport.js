// Playing along: start, pause, loop, slower and faster. Time is kept by Tone.js (`vendor/tone.js`, MIT), loaded when
// something is played for the first time.

import { openAudio, playClick, playTone, releaseTones } from "./player.js";

/** @import { Playable } from "./performance.js" */
/**
 * The little of Tone.js that is used here; its documentation is at tonejs.github.io.
 * @typedef {object} Transport
 * @property {number} PPQ
 * @property {{ value: number }} bpm
 * @property {boolean} loop
 * @property {string} loopStart
 * @property {string} loopEnd
 * @property {"started" | "stopped" | "paused"} state
 * @property {number} ticks
 * @property {(callback: (time: number) => void, time: string) => number} schedule
 * @property {() => void} cancel
 * @property {() => void} start
 * @property {() => void} pause
 * @property {() => void} stop
 * @property {(event: string, callback: () => void) => void} on
 */
/** @typedef {{ schedule: (callback: () => void, time: number) => void, cancel: () => void }} Draw */
/** @typedef {{ transport: Transport, draw: Draw }} Clock */
/**
 * @typedef {object} PlayOptions
 * @property {number} speed 1 is the written tempo
 * @property {number} a4 Hz
 * @property {boolean} isLooped
 * @property {boolean} hasCountIn
 * @property {boolean} hasClick
 * @property {number} faster how much the speed grows with each round, as a part of the written tempo
 * @property {number} fastest the speed at which it stops growing
 */
/**
 * @typedef {object} PlayHandlers
 * @property {(rows: number[]) => void} [onRows] notes begin to sound
 * @property {(speed: number) => void} [onSpeed] the speed has grown
 * @property {() => void} [onEnd] the music is over; not called after `stop`
 */

const LIBRARY = "../vendor/tone.js"; // in a variable: its types are not read
const TICKS = 960; // a second at the written tempo: times are exact to a millisecond
const LISTENER = ["position", "forward", "up"].flatMap((name) => ["X", "Y", "Z"].map((axis) => `${name}${axis}`));
const TAIL = 0.15; // seconds after the last note

/** @type {Promise<Clock> | null} */
let opened = null;
/** @type {Clock | null} */
let clock = null;
let lead = 0; // seconds of the count-in before the music
let round = 0; // what was begun last: later calls of an earlier one count for nothing

/** Load the library, and set its clock to the page's audio. @returns {Promise<Clock>} */
async function load() {
  const scope = /** @type {any} */ (globalThis);
  const { Worker } = scope;
  scope.TONE_SILENCE_LOGGING = true;
  // As it loads, the library would start a worker from a blob, which the content policy forbids; without one it uses timeouts.
  scope.Worker = undefined;
  try {
    await import(LIBRARY);
  } finally {
    scope.Worker = Worker;
  }
  const { context } = openAudio();
  completeListener(context);
  const found = new scope.Tone.Context({ context, clockSource: "timeout" });
  found.transport.PPQ = TICKS;
  found.transport.on("loop", () => onLoop());
  return { transport: found.transport, draw: found.draw };
}

/** Give a listener the parameters that it has by the standard, Firefox has not, and the library asks for. @param {AudioContext} context */
function completeListener(context) {
  for (const name of LISTENER.filter((each) => !(each in context.listener))) {
    Object.defineProperty(context.listener, name, { value: context.createConstantSource().offset });
  }
}

const ticks = (/** @type {number} */ seconds) => `${Math.round(seconds * TICKS)}i`;

/**
 * Play from the beginning.
 * @param {Playable} music
 * @param {PlayOptions} options
 * @param {PlayHandlers} [handlers]
 */
export async function play(music, options, handlers = {}) {
  const mine = ++round;
  openAudio();
  opened ??= load();
  clock = await opened;
  if (mine !== round) return;
  silence(clock);
  const { transport, draw } = clock;
  lead = options.hasCountIn ? music.countInLength : 0;
  transport.bpm.value = 60 * options.speed;
  const speed = () => transport.bpm.value / 60;
  if (options.hasCountIn) scheduleClicks(transport, music.countIn, 0);
  if (options.hasClick) scheduleClicks(transport, music.clicks, lead);
  for (const tone of music.tones) {
    transport.schedule(
      (time) => {
        playTone({ ...tone, length: tone.length / speed() }, time, options.a4);
        if (tone.rows.length) draw.schedule(() => mine === round && handlers.onRows?.(tone.rows), time);
      },
      ticks(lead + tone.at),
    );
  }
  transport.loop = options.isLooped;
  transport.loopStart = ticks(lead);
  transport.loopEnd = ticks(lead + Math.max(music.length, TAIL));
  onLoop = () => {
    if (!options.faster || speed() >= options.fastest) return;
    transport.bpm.value = 60 * Math.min(options.fastest, speed() + options.faster);
    handlers.onSpeed?.(speed());
  };
  if (!options.isLooped) {
    transport.schedule(
      (time) => {
        draw.schedule(() => {
          if (mine !== round) return;
          stop();
          handlers.onEnd?.();
        }, time);
      },
      ticks(lead + music.length + TAIL),
    );
  }
  transport.start();
}

let onLoop = () => {};

/** @param {Transport} transport @param {{ at: number, isFirst: boolean }[]} clicks @param {number} lead */
function scheduleClicks(transport, clicks, lead) {
  for (const { at, isFirst } of clicks) transport.schedule((time) => playClick(time, isFirst), ticks(lead + at));
}

/** @param {Clock} now */
function silence({ transport, draw }) {
  transport.stop();
  transport.cancel();
  draw.cancel();
  releaseTones();
}

/** Stop at once; the next start is from the beginning. */
export function stop() {
  round += 1;
  if (clock) silence(clock);
  else releaseTones();
}

export function pause() {
  clock?.transport.pause();
  releaseTones();
}

export function resume() {
  clock?.transport.start();
}

/** Go on from a time of the music, in seconds at the written tempo. @param {number} at */
export function seek(at) {
  if (!clock) return;
  clock.draw.cancel();
  releaseTones();
  clock.transport.ticks = Math.round((lead + at) * TICKS);
}

/** The time of the music that sounds now, in seconds at the written tempo; below 0 while it is counted in. */
export const place = () => (clock?.transport.ticks ?? 0) / TICKS - lead;

export const isPlaying = () => clock?.transport.state === "started";
export const isPaused = () => clock?.transport.state === "paused";
