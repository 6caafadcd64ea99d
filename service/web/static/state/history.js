// Undo and redo.

/** Snapshots before and after the present one. */
export class History {
  /** @type {string[]} */
  #past = [];
  /** @type {string[]} */
  #future = [];

  get canUndo() {
    return this.#past.length > 0;
  }

  get canRedo() {
    return this.#future.length > 0;
  }

  clear() {
    this.#past = [];
    this.#future = [];
  }

  /** Record the snapshot from before a change. @param {string} before */
  record(before) {
    this.#past.push(before);
    this.#future = [];
  }

  /** Step back from the present snapshot; null at the beginning. @param {string} present */
  undo(present) {
    return move(this.#past, this.#future, present);
  }

  /** Step forward again; null at the end. @param {string} present */
  redo(present) {
    return move(this.#future, this.#past, present);
  }
}

/**
 * @param {string[]} from
 * @param {string[]} to
 * @param {string} present
 */
function move(from, to, present) {
  const target = from.pop();
  if (target === undefined) return null;
  to.push(present);
  return target;
}
