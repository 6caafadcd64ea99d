// Text from the service, made ready for the page.

/** @param {string} text */
export const capitalize = (text) => text.charAt(0).toUpperCase() + text.slice(1);

/** @param {string} text */
export const sentence = (text) => `${capitalize(text)}.`;
