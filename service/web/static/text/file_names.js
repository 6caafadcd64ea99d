// The names of the files that the page offers and reads.

/**
 * The name of a file with a suffix before its ending: same name, same kind.
 * @param {string} name
 * @param {string} suffix
 * @param {string | null} [ending] another ending, such as ".txt"
 */
export function suffixName(name, suffix, ending = null) {
  const dot = name.lastIndexOf(".");
  const stem = dot > 0 ? name.slice(0, dot) : name;
  return `${stem}.${suffix}${ending ?? (dot > 0 ? name.slice(dot) : ".musicxml")}`;
}

/** The name of a converted score. @param {string} name */
export const musicxmlName = (name) => `${name.replace(/\.[^.]*$/, "")}.musicxml`;

/** A name for text from the clipboard: MusicXML starts with a tag, ABC does not. @param {string} text */
export const pasteName = (text) => (text.trimStart().startsWith("<") ? "pasted.musicxml" : "pasted.abc");
