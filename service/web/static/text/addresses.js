// What the address of the page says.

/** Return whether only this machine can open a host: localhost and the loopback addresses (RFC 6761, RFC 1122, RFC 4291). @param {string} host */
export const isLocal = (host) =>
  host === "localhost" || host.endsWith(".localhost") || /^127(\.\d+){3}$/.test(host) || host === "[::1]";
