import assert from "node:assert/strict";
import { test } from "node:test";
import { inPieces } from "../../../service/web/static/text/terms.js";

const GLOSSARY = [
  { names: ["Lage", "Lagen"], meaning: "wo die Hand ist" },
  { names: ["Lagenwechsel"], meaning: "die Hand geht" },
];

test("terms are whole words, the longest first, each once", () => {
  const found = inPieces("Der Lagenwechsel in die 3. Lage, dann Lage um Lage: Ablage", GLOSSARY);
  const told = found.filter(({ meaning }) => meaning).map(({ text, meaning }) => [text, meaning]);
  assert.deepEqual(told, [
    ["Lagenwechsel", "die Hand geht"],
    ["Lage", "wo die Hand ist"],
  ]);
  assert.equal(found.map(({ text }) => text).join(""), "Der Lagenwechsel in die 3. Lage, dann Lage um Lage: Ablage");
});

test("without a glossary a text stays whole", () => {
  assert.deepEqual(inPieces("a shift (1.5)", []), [{ text: "a shift (1.5)", meaning: null }]);
});
