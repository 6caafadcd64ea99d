import assert from "node:assert/strict";
import { test } from "node:test";
import { musicxmlName, pasteName, suffixName } from "../../../service/web/static/text/file_names.js";

test("a suffix stands before the ending", () => {
  assert.equal(suffixName("waltz.mxl", "marked"), "waltz.marked.mxl");
  assert.equal(suffixName("no.2.xml", "review", ".txt"), "no.2.review.txt");
});

test("a name without an ending gets that of MusicXML, and a leading dot is no ending", () => {
  assert.equal(suffixName("waltz", "marked"), "waltz.marked.musicxml");
  assert.equal(suffixName(".xml", "marked"), ".xml.marked.musicxml");
  assert.equal(suffixName("a.xml", "marked"), "a.marked.xml");
});

test("a converted score is MusicXML by its name", () => {
  assert.equal(musicxmlName("air.abc"), "air.musicxml");
  assert.equal(musicxmlName("air"), "air.musicxml");
});

test("pasted text is MusicXML if it starts with a tag, after spaces too", () => {
  assert.equal(pasteName("\n <score-partwise>"), "pasted.musicxml");
  assert.equal(pasteName("X:1\nK:G\n<B2"), "pasted.abc");
});
