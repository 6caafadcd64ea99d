// An error that the page shows to the player.

import { words } from "../text/words.js";

/** @import { Problem } from "./answers.js" */

/** A problem in the words of the service: what, where, and what to do. */
export class ServiceError extends Error {
  /** @param {Problem} problem */
  constructor({ detail, where = null, advice = "", code = "" }) {
    super([detail, where && words.faults.where(where), advice].filter(Boolean).join(" "));
    this.code = code;
  }
}

/** What to tell the player of an error. @param {unknown} error */
export const errorText = (error) => (error instanceof Error ? error.message : String(error));

/** Return whether a request was stopped by the page itself. @param {unknown} error */
export const isAbort = (error) => error instanceof Error && error.name === "AbortError";
