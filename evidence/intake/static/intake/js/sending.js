/* What an upload decides without a page: waiting times, words for an answer. */

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
