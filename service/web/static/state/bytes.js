// Bytes as text, for files, links and answers of the service.

const BLOCK = 32768; // bytes that one call of String.fromCharCode can take

/** @param {Uint8Array} bytes */
export function toBase64(bytes) {
  let text = "";
  for (let at = 0; at < bytes.length; at += BLOCK) text += String.fromCharCode(...bytes.subarray(at, at + BLOCK));
  return btoa(text);
}

/** @param {string} text */
export function fromBase64(text) {
  return Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0));
}

/** Base64 with letters that need no escape in a link (RFC 4648, section 5), without padding. @param {Uint8Array} bytes */
export const toLinkText = (bytes) => toBase64(bytes).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");

/** @param {string} text */
export const fromLinkText = (text) => fromBase64(text.replaceAll("-", "+").replaceAll("_", "/"));

/** @param {Uint8Array<ArrayBuffer>} bytes */
export const compress = (bytes) => pipe(bytes, new CompressionStream("deflate-raw"));

/** Undo `compress`; throws if the bytes are damaged. @param {Uint8Array<ArrayBuffer>} bytes */
export const decompress = (bytes) => pipe(bytes, new DecompressionStream("deflate-raw"));

/**
 * @param {Uint8Array<ArrayBuffer>} bytes
 * @param {CompressionStream | DecompressionStream} stream
 */
async function pipe(bytes, stream) {
  const answer = new Response(new Blob([bytes]).stream().pipeThrough(stream));
  return new Uint8Array(await answer.arrayBuffer());
}
