// Waiting until a burst of calls is over.

/**
 * Call `action` once no other call has come for `wait` milliseconds.
 * @template {unknown[]} A
 * @param {(...values: A) => void} action
 * @param {number} wait
 * @returns {(...values: A) => void}
 */
export function debounce(action, wait) {
  /** @type {ReturnType<typeof setTimeout> | undefined} */
  let timer;
  return (...values) => {
    clearTimeout(timer);
    timer = setTimeout(() => action(...values), wait);
  };
}
