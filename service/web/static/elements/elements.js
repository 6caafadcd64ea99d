// HTML and SVG elements, each made in one call.

/**
 * The value of an attribute: functions become listeners, `text` becomes the element's text; false, null and undefined
 * are left out.
 * @typedef {string | number | boolean | null | undefined | ((event: any) => unknown)} Attribute
 */
/** @typedef {Record<string, Attribute>} Attributes */
/** @typedef {Node | string | false | null | undefined} Child */

/**
 * Make an HTML element.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} tag
 * @param {Attributes} [attributes]
 * @param {...(Child | Child[])} children
 */
export function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  setAttributes(element, attributes);
  element.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

/**
 * Make an SVG element.
 * @template {keyof SVGElementTagNameMap} K
 * @param {K} tag
 * @param {Attributes} [attributes]
 * @param {...(Node | string)} children
 */
export function makeSvg(tag, attributes = {}, ...children) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
  setAttributes(element, attributes);
  element.append(...children);
  return element;
}

/**
 * @param {HTMLElement | SVGElement} element
 * @param {Attributes} attributes
 */
function setAttributes(element, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === false || value === null || value === undefined) continue;
    if (typeof value === "function") element.addEventListener(name, value);
    else if (name === "text") element.textContent = String(value);
    else if (name === "value" && "value" in element) element.value = value;
    else element.setAttribute(name, value === true ? "" : String(value));
  }
}

/** Make an element of this page from SVG text. @param {string} text */
export function picture(text) {
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  return /** @type {SVGSVGElement} */ (/** @type {unknown} */ (document.importNode(parsed, true)));
}

/**
 * Make a drop-down list; `choices` are pairs of value and text.
 * @param {[string, string][]} choices
 * @param {string} value
 * @param {(value: string) => unknown} onChange
 * @param {Attributes} [attributes]
 */
export function select(choices, value, onChange, attributes = {}) {
  /** @type {HTMLSelectElement} */
  const list = make("select", { change: () => onChange(list.value), ...attributes });
  for (const [key, text] of choices) list.append(make("option", { value: key, text, selected: key === value }));
  list.value = value;
  return list;
}

/** A text in which `backticks` mark what is typed on a command line. @param {string} text */
export const coded = (text) =>
  text.split("`").map((piece, place) => (place % 2 ? make("code", { text: piece }) : piece));

/** Put a label before a control. @param {string} label @param {HTMLElement} control */
export const field = (label, control) => make("label", { class: "field" }, make("span", { text: label }), control);

/** Put a label behind a box to tick. @param {string} label @param {HTMLElement} box */
export const tickField = (label, box) => make("label", { class: "field tick" }, box, make("span", { text: label }));

/**
 * Make a button.
 * @param {string} text
 * @param {() => unknown} action
 * @param {Attributes} [attributes]
 */
export function button(text, action, attributes = {}) {
  return make("button", { type: "button", text, click: () => action(), ...attributes });
}

/** The element of the page's skeleton with this id. @param {string} id */
export function byId(id) {
  const element = document.getElementById(id);
  if (!element) throw new Error(`the page has no #${id}`);
  return element;
}
