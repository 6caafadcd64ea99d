// The script inside the single file: it plays the music and leads from a stretch to its card. It stands alone, imports
// nothing, and the file can be read without it.

(() => {
  /** @typedef {{ midi: number, at: number, length: number, from?: number, rows: number[] }} SharedTone */
  /** @type {{ tones: SharedTone[], stretches: number[][] }} */
  const data = JSON.parse(document.getElementById("music-data")?.textContent ?? "{}");
  const AHEAD = 0.3; // seconds that are scheduled ahead
  const speed = /** @type {HTMLInputElement} */ (document.getElementById("speed"));
  /** @type {AudioContext | null} */
  let audio = null;
  /** @type {GainNode | null} */
  let output = null;
  /** @type {ReturnType<typeof setInterval> | undefined} */
  let timer;

  /** @param {number} midi */
  const hertz = (midi) => 440 * 2 ** ((midi - 69) / 12);

  /** @param {SharedTone} tone @param {number} begin @param {number} length */
  function sound(tone, begin, length) {
    if (!audio || !output) return;
    const source = audio.createOscillator();
    source.type = "sawtooth";
    source.frequency.setValueAtTime(hertz(tone.from ?? tone.midi), begin);
    source.frequency.exponentialRampToValueAtTime(hertz(tone.midi), begin + Math.min(0.09, length / 3));
    const filter = audio.createBiquadFilter();
    filter.frequency.value = 2500;
    const envelope = audio.createGain();
    const end = begin + Math.max(length - 0.02, 0.06);
    envelope.gain.setValueAtTime(0, begin);
    envelope.gain.linearRampToValueAtTime(0.5, begin + 0.05);
    envelope.gain.setValueAtTime(0.5, Math.max(begin + 0.05, end - 0.05));
    envelope.gain.linearRampToValueAtTime(0, end);
    source.connect(filter).connect(envelope).connect(output);
    source.start(begin);
    source.stop(end + 0.05);
  }

  /** @param {number[]} rows */
  function light(rows) {
    for (const note of document.querySelectorAll(".sounding")) note.classList.remove("sounding");
    for (const row of rows) document.getElementById(`n${row}`)?.classList.add("sounding");
    const first = rows.length ? document.getElementById(`n${rows[0]}`) : null;
    const box = first?.getBoundingClientRect();
    if (box && (box.top < 40 || box.bottom > innerHeight - 80)) first?.scrollIntoView({ block: "center" });
  }

  function stop() {
    clearInterval(timer);
    output?.disconnect();
    output = null;
    light([]);
  }

  /** Play the tones that begin with some rows, or all. @param {number[]} [rows] */
  function play(rows) {
    stop();
    const wanted = new Set(rows);
    const tones = rows ? data.tones.filter((tone) => tone.rows.some((row) => wanted.has(row))) : data.tones;
    if (!tones.length) return;
    audio ??= new AudioContext();
    audio.resume();
    output = audio.createGain();
    output.gain.value = 0.3;
    output.connect(audio.destination);
    begin(tones, 100 / Number(speed.value), audio);
  }

  /** Send tones to the synthesis shortly before they sound. @param {SharedTone[]} tones @param {number} factor @param {AudioContext} clock */
  function begin(tones, factor, clock) {
    const start = clock.currentTime + 0.1 - tones[0].at * factor;
    const times = tones.map(({ at }) => start + at * factor);
    const last = tones[tones.length - 1];
    let sent = 0;
    let shown = 0;
    timer = setInterval(() => {
      const now = clock.currentTime;
      for (; times[sent] < now + AHEAD; sent += 1) sound(tones[sent], times[sent], tones[sent].length * factor);
      for (; times[shown] <= now; shown += 1) if (tones[shown].rows.length) light(tones[shown].rows);
      if (now > start + (last.at + last.length) * factor) stop();
    }, 25);
  }

  document.getElementById("play")?.addEventListener("click", () => play());
  document.getElementById("stop")?.addEventListener("click", stop);
  document.addEventListener("click", (event) => {
    const target = /** @type {Element} */ (event.target);
    const card = target.closest("button[data-stretch]");
    if (card) return play(data.stretches[Number(/** @type {HTMLElement} */ (card).dataset.stretch)]);
    const stretch = /** @type {HTMLElement | null} */ (target.closest("[data-excursion]"));
    if (stretch) document.getElementById(`card-${stretch.dataset.excursion}`)?.scrollIntoView({ block: "start" });
  });
})();
