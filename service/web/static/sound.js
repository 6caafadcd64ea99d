// Sound: plain tones made here, nothing recorded, nothing fetched. Equal temperament on A4 (ISO 16: 440 Hz).

const AHEAD = 0.06; // seconds between the order and the first tone
const BRIGHT = { 1: 5200, 2: 3600, 3: 2700, 4: 2000 }; // Hz up to which a string's tone reaches: the lower, the darker
const RELEASE = 0.05;

let context = null;
let output = null;
let analyser = null;
let running = null;

/** Frequency in Hz of a MIDI key number. */
export const frequency = (midi, a4 = 440) => a4 * 2 ** ((midi - 69) / 12);

/** What sounds, for measuring it; null before anything has sounded. */
export const listening = () => ({ context, analyser });

function prepare() {
  if (!context) {
    context = new AudioContext();
    analyser = context.createAnalyser();
    analyser.fftSize = 32768;
    analyser.connect(context.destination);
  }
  context.resume();
}

/**
 * Play notes: { midi, at, length, string, from } in seconds; `from` is a key number to slide from.
 * `step(index)` is called as each note begins, `ended()` at the end; not when it is stopped.
 */
export function play(notes, a4, { step = () => {}, ended = () => {} } = {}) {
  stop();
  prepare();
  output = context.createGain();
  output.gain.value = 0.32;
  output.connect(analyser);
  const start = context.currentTime + AHEAD;
  for (const note of notes) tone(note, start, a4);
  const timers = notes.map((note, index) => setTimeout(() => step(index), (note.at + AHEAD) * 1000));
  const length = Math.max(0, ...notes.map(({ at, length: lasts }) => at + lasts));
  timers.push(setTimeout(() => (stop(), ended()), (length + AHEAD + RELEASE) * 1000));
  running = timers;
}

/** Silence, at once. */
export function stop() {
  running?.forEach(clearTimeout);
  running = null;
  if (!output) return;
  output.gain.setValueAtTime(0, context.currentTime);
  output.disconnect();
  output = null;
}

export const isPlaying = () => running !== null;

function tone({ midi, at, length, string, from }, start, a4) {
  const begin = start + at;
  const end = begin + Math.max(length - 0.02, 0.06);
  const source = context.createOscillator();
  source.type = "sawtooth";
  source.frequency.setValueAtTime(frequency(from ?? midi, a4), begin);
  if (from !== undefined) source.frequency.exponentialRampToValueAtTime(frequency(midi, a4), begin + Math.min(0.09, length / 3));
  const filter = context.createBiquadFilter();
  filter.type = "lowpass";
  filter.frequency.value = BRIGHT[string] ?? 3000;
  const envelope = context.createGain();
  envelope.gain.setValueAtTime(0, begin);
  envelope.gain.linearRampToValueAtTime(0.6, begin + 0.03);
  envelope.gain.setValueAtTime(0.6, Math.max(begin + 0.03, end - RELEASE));
  envelope.gain.linearRampToValueAtTime(0, end);
  source.connect(filter).connect(envelope).connect(output);
  source.start(begin);
  source.stop(end);
}
