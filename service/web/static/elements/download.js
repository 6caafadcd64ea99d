// Files that the page hands to the browser.

import { make } from "./elements.js";

const REVOKE_AFTER = 10_000; // milliseconds in which the browser has read the data

/**
 * Save data as a file.
 * @param {string} name
 * @param {BlobPart} data
 * @param {string} [type]
 */
export function download(name, data, type = "application/octet-stream") {
  const address = URL.createObjectURL(new Blob([data], { type }));
  const link = make("a", { href: address, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), REVOKE_AFTER);
}
