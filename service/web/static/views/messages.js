// What the page says about itself: progress, and errors with a way on.

import { errorText, isAbort } from "../api/service_error.js";
import { button, byId, make } from "../elements/elements.js";
import { signButton } from "../elements/signs.js";
import { words } from "../text/words.js";

const PAUSE = 350; // milliseconds of work before it is shown

/** @type {ReturnType<typeof setTimeout> | undefined} */
let timer;

/** Say something to those who listen to the page. @param {string} text */
export function setStatus(text) {
  byId("status").textContent = text;
}

/**
 * Show an error until something changes; `retry` does the same again.
 * @param {unknown} error
 * @param {() => unknown} [retry]
 */
export function showError(error, retry) {
  endProgress();
  if (isAbort(error)) return;
  const message = byId("message");
  const again =
    retry &&
    button(words.faults.retry, () => {
      clearError();
      retry();
    });
  message.replaceChildren(
    make("p", { text: errorText(error) }),
    ...(again ? [again] : []),
    signButton("close", words.faults.close, clearError, { word: "hidden" }),
  );
  message.classList.remove("remark");
  message.classList.add("shown");
}

/** Show what is to be known of the file, until it is closed. @param {string[]} remarks */
export function showRemarks(remarks) {
  if (!remarks.length) return;
  const message = byId("message");
  const close = signButton("close", words.faults.close, clearError, { word: "hidden" });
  message.replaceChildren(make("p", { text: remarks.join(" ") }), close);
  message.classList.add("shown", "remark");
}

export function clearError() {
  byId("message").replaceChildren();
  byId("message").classList.remove("shown", "remark");
}

/**
 * Show what is being done, unless it is done at once.
 * @param {string} text
 * @param {object} [details]
 * @param {number} [details.done] from 0 to 1; left out if nobody knows
 * @param {() => void} [details.cancel]
 */
export function showProgress(text, { done, cancel } = {}) {
  setStatus(text);
  const holder = byId("progress");
  const bar = make("progress", { "aria-label": text, max: 1, value: done });
  holder.replaceChildren(
    bar,
    make("span", { class: "progress-text", text }),
    ...(cancel ? [button(words.progress.cancel, cancel, { class: "plain" })] : []),
  );
  timer ??= setTimeout(() => holder.classList.add("shown"), PAUSE);
}

export function endProgress() {
  clearTimeout(timer);
  timer = undefined;
  byId("progress").classList.remove("shown");
  byId("progress").replaceChildren();
}
