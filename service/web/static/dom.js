// Building blocks of the page: elements made in one call.

/** Make an element; attributes that are functions become listeners, `text` its text, false and null are left out. */
export function make(tag, attributes = {}, ...children) {
  const element = document.createElement(tag);
  apply(element, attributes);
  element.append(...children.flat().filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

/** Make an SVG element. */
export function makeSvg(tag, attributes = {}, ...children) {
  const element = document.createElementNS("http://www.w3.org/2000/svg", tag);
  apply(element, attributes);
  element.append(...children);
  return element;
}

function apply(element, attributes) {
  for (const [name, value] of Object.entries(attributes)) {
    if (value === false || value === null || value === undefined) continue;
    if (typeof value === "function") element.addEventListener(name, value);
    else if (name === "text") element.textContent = value;
    else if (name === "value") element.value = value;
    else element.setAttribute(name, value === true ? "" : String(value));
  }
}

/** Return an SVG picture that came as text, as an element of this page. */
export function picture(text) {
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  return document.importNode(parsed, true);
}

/** A labelled drop-down list; `choices` are [value, label] pairs. */
export function choice(label, choices, value, chosen, attributes = {}) {
  const select = make("select", { change: (event) => chosen(event.target.value), ...attributes });
  for (const [key, text] of choices) select.append(make("option", { value: key, text, selected: key === value }));
  select.value = value;
  return make("label", { class: "field" }, make("span", { text: label }), select);
}

/** A button; `name` is read out instead of the text where the text alone would not tell. */
export function button(text, act, attributes = {}) {
  return make("button", { type: "button", text, click: act, ...attributes });
}

/** Call `act` once nothing has asked for it for `wait` milliseconds. */
export function calmly(act, wait) {
  let timer = 0;
  return (...values) => {
    clearTimeout(timer);
    timer = setTimeout(() => act(...values), wait);
  };
}
