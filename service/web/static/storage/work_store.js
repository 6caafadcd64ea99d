// The scores and decisions that the browser keeps (IndexedDB). Where it keeps nothing, as in some private windows, the page works without.

/** @import { WorkRecord } from "../state/work_record.js" */

const NAME = "handframe";
const STORE = "works";
const MOST = 40; // scores; the oldest go first

/** @type {Promise<IDBDatabase> | null} */
let opened = null;

function open() {
  opened ??= new Promise((resolve, reject) => {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => request.result.createObjectStore(STORE, { keyPath: "id" });
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
    request.onblocked = () => reject(new Error("another window holds the storage"));
  });
  return opened;
}

/**
 * Ask the store something.
 * @template T
 * @param {IDBTransactionMode} mode
 * @param {(store: IDBObjectStore) => IDBRequest<T>} ask
 * @returns {Promise<T>}
 */
async function call(mode, ask) {
  const database = await open();
  return new Promise((resolve, reject) => {
    const request = ask(database.transaction(STORE, mode).objectStore(STORE));
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });
}

/** Keep a work; returns whether the browser does. @param {WorkRecord} record */
export async function keepWork(record) {
  try {
    await call("readwrite", (store) => store.put(record));
    return true;
  } catch {
    return false;
  }
}

/** The work with an id, or null. @param {string} id @returns {Promise<WorkRecord | null>} */
export async function loadWork(id) {
  try {
    return (await call("readonly", (store) => store.get(id))) ?? null;
  } catch {
    return null;
  }
}

/** What the browser keeps, the latest first. @returns {Promise<WorkRecord[]>} */
export async function recentWorks() {
  try {
    /** @type {WorkRecord[]} */
    const works = await call("readonly", (store) => store.getAll());
    works.sort((a, b) => b.changed - a.changed);
    for (const { id } of works.slice(MOST)) await forgetWork(id);
    return works.slice(0, MOST);
  } catch {
    return [];
  }
}

/** @param {string} id */
export const forgetWork = (id) => call("readwrite", (store) => store.delete(id));
