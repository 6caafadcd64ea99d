// JSON lines: a stream of texts, one value on each line.

/**
 * Read the values of a stream one by one, wherever it is cut into pieces. A last line without its end is left out.
 * @param {ReadableStream<Uint8Array<ArrayBuffer>>} stream
 * @returns {AsyncGenerator<any>}
 */
export async function* readJsonLines(stream) {
  const reader = stream.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  for (;;) {
    const { value, done } = await reader.read();
    if (done) return;
    const lines = (rest + value).split("\n");
    rest = lines.pop() ?? "";
    for (const line of lines) yield JSON.parse(line);
  }
}
