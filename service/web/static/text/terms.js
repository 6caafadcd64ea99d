// The terms of the glossary in a text.

/** @typedef {{ names: string[], meaning: string }} Term the forms in which texts may have it, and one line of meaning */
/** @typedef {{ text: string, meaning: string | null }} Piece */

/** A text in pieces: each term with its meaning where it comes first, and what lies between. @param {string} text @param {Term[]} glossary @returns {Piece[]} */
export function inPieces(text, glossary) {
  if (!glossary.length) return [{ text, meaning: null }];
  const meanings = new Map(
    glossary.flatMap(({ names, meaning }) => names.map((name) => [name.toLowerCase(), meaning])),
  );
  const longestFirst = [...meanings.keys()].sort((one, other) => other.length - one.length).map(escaped);
  const pattern = new RegExp(`(?<!\\p{L})(${longestFirst.join("|")})(?!\\p{L})`, "giu");
  const told = new Set();
  return text.split(pattern).map((piece) => {
    const meaning = meanings.get(piece.toLowerCase()) ?? null;
    if (meaning === null || told.has(meaning)) return { text: piece, meaning: null };
    told.add(meaning);
    return { text: piece, meaning };
  });
}

/** @param {string} name */
const escaped = (name) => name.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
