/* What an upload decides without a page: keys, waiting times, words for an answer. */

/* UUIDv7 (RFC 9562, section 5.7): 48 bits of milliseconds, then version, variant and chance. */
export function uuid7(now = Date.now(), chance = crypto.getRandomValues(new Uint8Array(16))) {
  const bytes = new Uint8Array(chance);
  for (let place = 5, rest = now; place >= 0; place -= 1) {
    bytes[place] = rest % 256;
    rest = Math.floor(rest / 256);
  }
  bytes[6] = (bytes[6] & 0x0f) | 0x70;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

/* One second, then twice as long each time, at most eight: a server that was started again is
 * ready in a few. */
export function waitBefore(tries) {
  return Math.min(8_000, 500 * 2 ** tries);
}

export function sizeWords(bytes) {
  if (bytes < 1000) return `${bytes} bytes`;
  return bytes < 1_000_000 ? `${Math.round(bytes / 1000)} kB` : `${(bytes / 1_000_000).toFixed(1)} MB`;
}

export function wordsOf(body) {
  const errors = Object.entries(body.errors || {});
  if (!errors.length) return body.message || "The server could not accept it. Tell an administrator.";
  return errors
    .map(([field, messages]) => (field === "upload" ? "" : `${field.replaceAll("_", " ")}: `) + messages.join(" "))
    .join(" ");
}

const WHY_HELD = {
  store_away: "The office’s file store is not answering",
  full: "The office has no room for files: tell an administrator",
};

export function whyHeld({ body }) {
  return `${WHY_HELD[body?.code] ?? "Connection lost"}. Sending resumes by itself.`;
}

/* No answer at all, or one from a server that is being restarted. `surely`: not one that may
 * mean that the server cannot take this file at all. */
export function isLost(status, surely = false) {
  return status === 0 || status === 429 || (surely ? status > 501 : status >= 500);
}

/* Where a connection broke, both sides may differ on how far it came: asking again settles it. */
export function isToRepeat({ status, body }) {
  return status === 460 || ["wrong_offset", "conflict"].includes(body?.code);
}
