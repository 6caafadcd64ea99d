// The engraved part for the single file: the same picture in fewer bytes. The engraver gives every page its own copy of the
// signs, an id and a class to every group, and each line of a staff a path of its own.

const SVG = "http://www.w3.org/2000/svg";
const ROW = /^n\d+$/; // ids of notes, by which the page's script finds them
const LINE = /^M[-\d.]+ [-\d.]+ L[-\d.]+ [-\d.]+$/;

/**
 * Take out of the pages what they do not need.
 * @param {Element} music
 * @param {string} code the styles and the script of the file: classes that they do not name go
 */
export function leanMusic(music, code) {
  const named = new Set([...code.matchAll(/\.([a-zA-Z][\w-]*)/g)].map(([, name]) => name));
  music.prepend(sharedSigns(music));
  for (const element of music.querySelectorAll("svg [id], svg[id]")) {
    if (!ROW.test(element.id) && !element.closest(".signs")) element.removeAttribute("id");
  }
  for (const group of music.querySelectorAll("svg g")) {
    group.classList.remove(...[...group.classList].filter((name) => !named.has(name)));
    if (!group.classList.length) group.removeAttribute("class");
    if (!group.attributes.length) group.replaceWith(...group.childNodes);
  }
  for (const group of music.querySelectorAll("svg, g")) joinLines(group);
  return music;
}

/** Every sign once, for all pages. @param {Element} music */
function sharedSigns(music) {
  const signs = document.createElementNS(SVG, "svg");
  signs.classList.add("signs");
  signs.setAttribute("aria-hidden", "true");
  /** @type {Map<string, string>} */
  const ids = new Map();
  const serializer = new XMLSerializer();
  for (const page of music.querySelectorAll("svg")) {
    /** @type {Map<string, string>} */
    const renamed = new Map();
    for (const sign of page.querySelectorAll("defs > [id]")) {
      const content = [...sign.children].map((child) => serializer.serializeToString(child)).join("");
      if (!ids.has(content)) {
        ids.set(content, `s${ids.size}`);
        const shared = /** @type {Element} */ (sign.cloneNode(true));
        shared.id = `s${ids.size - 1}`;
        signs.append(shared);
      }
      renamed.set(`#${sign.id}`, `#${ids.get(content)}`);
      sign.remove();
    }
    page.querySelector("defs:empty")?.remove();
    for (const use of page.querySelectorAll("use")) {
      const address = use.getAttribute("xlink:href") ?? use.getAttribute("href") ?? "";
      use.removeAttribute("xlink:href");
      use.setAttribute("href", renamed.get(address) ?? address);
    }
  }
  const defs = document.createElementNS(SVG, "defs");
  defs.append(...signs.childNodes);
  signs.append(defs);
  return signs;
}

/** Make one path of straight lines that stand beside each other and look alike. @param {Element} group */
function joinLines(group) {
  /** @type {Element | null} */
  let first = null;
  for (const child of [...group.children]) {
    const isLine = child.tagName === "path" && LINE.test(child.getAttribute("d") ?? "");
    if (isLine && first && looks(first) === looks(child)) {
      first.setAttribute("d", `${first.getAttribute("d")}${child.getAttribute("d")}`);
      child.remove();
    } else {
      first = isLine ? child : null;
    }
  }
}

/** @param {Element} line */
const looks = (line) =>
  [...line.attributes]
    .filter(({ name }) => name !== "d")
    .map(({ name, value }) => `${name}=${value}`)
    .join();
