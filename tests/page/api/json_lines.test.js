import assert from "node:assert/strict";
import { test } from "node:test";
import { readJsonLines } from "../../../service/web/static/api/json_lines.js";

/** @param {Uint8Array<ArrayBuffer>[]} pieces */
async function read(pieces) {
  /** @type {ReadableStream<Uint8Array<ArrayBuffer>>} */
  const stream = new ReadableStream({
    start(controller) {
      for (const piece of pieces) controller.enqueue(piece);
      controller.close();
    },
  });
  const values = [];
  for await (const value of readJsonLines(stream)) values.push(value);
  return values;
}

const BYTES = new TextEncoder().encode('{"pitch":"F♯5"}\n{"pitch":"B♭4"}\n');

test("the values do not depend on where the stream is cut", async () => {
  const expected = [{ pitch: "F♯5" }, { pitch: "B♭4" }];
  assert.deepEqual(await read([BYTES]), expected);
  for (let at = 1; at < BYTES.length; at += 1) {
    assert.deepEqual(await read([BYTES.slice(0, at), BYTES.slice(at)]), expected, `cut at byte ${at}`);
  }
  assert.deepEqual(await read([...BYTES].map((byte) => Uint8Array.of(byte))), expected);
});

test("a last line without its end is left out", async () => {
  assert.deepEqual(await read([BYTES.slice(0, -1)]), [{ pitch: "F♯5" }]);
  assert.deepEqual(await read([]), []);
});

test("a line that is not JSON is an error", async () => {
  await assert.rejects(read([new TextEncoder().encode("<html>\n")]), SyntaxError);
});
