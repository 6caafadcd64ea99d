import assert from "node:assert/strict";
import { test } from "node:test";
import {
  compress,
  decompress,
  fromBase64,
  fromLinkText,
  toBase64,
  toLinkText,
} from "../../../service/web/static/state/bytes.js";

const encode = (/** @type {string} */ text) => new TextEncoder().encode(text);

test("base64 agrees with the test vectors of RFC 4648, section 10", () => {
  const vectors = {
    "": "",
    f: "Zg==",
    fo: "Zm8=",
    foo: "Zm9v",
    foob: "Zm9vYg==",
    fooba: "Zm9vYmE=",
    foobar: "Zm9vYmFy",
  };
  for (const [text, expected] of Object.entries(vectors)) {
    assert.equal(toBase64(encode(text)), expected);
    assert.deepEqual(fromBase64(expected), encode(text));
  }
});

test("link text has no sign that needs an escape, and keeps every byte", () => {
  const bytes = Uint8Array.from({ length: 256 }, (_, value) => 255 - value);
  const text = toLinkText(bytes);
  assert.match(text, /^[A-Za-z0-9_-]+$/);
  assert.deepEqual(fromLinkText(text), bytes);
  assert.equal(toLinkText(Uint8Array.of(0xfb, 0xff)), "-_8");
});

test("data longer than one block is kept", () => {
  const bytes = Uint8Array.from({ length: 32768 * 2 + 1 }, (_, at) => (at * 7) % 256);
  assert.deepEqual(fromBase64(toBase64(bytes)), bytes);
});

test("compression is undone exactly, and repeated data becomes smaller", async () => {
  const bytes = encode("note ".repeat(1000));
  const small = await compress(bytes);
  assert.ok(small.length < bytes.length / 10);
  assert.deepEqual(await decompress(small), bytes);
});
