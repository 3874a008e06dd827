/* What is kept on this device until the office has it: where it lies, and when it goes.
 *
 * A draft lies under its person, path, form and request key, so that two tabs of one form are two
 * drafts. It goes when the office says by the cookie saved-KEY that this very submission was saved,
 * when its person takes it away, or after three days. Nothing of another person is read.
 */
import { person } from "./page_of.js";

const PREFIX = "draft|";
const OUTBOX = "outbox|";
const KEPT_FOR_MS = 3 * 24 * 3600 * 1000;
const TAB = "tab";
const LEFT = "tab left";

/** The names of a form's bookkeeping: what nobody typed. */
export const NOT_TYPED = new Set(["record_id", "request_key", "version", "view"]);

/** Tell whether the office said that a submission was saved. */
export function isSaved(requestKey) {
  return requestKey !== "" && document.cookie.split("; ").includes(`saved-${requestKey}=1`);
}

export function requestKeyOf(form) {
  return form.elements.request_key?.value ?? "";
}

/* A form that is refused under an address of its own says on which page it is written. */
function pathOf(form) {
  return form.dataset.draftPage || window.location.pathname;
}

/** The address of the page on which a form is written. */
export function pageOf(form) {
  return form.dataset.draftPage || window.location.pathname + window.location.search;
}

/** Where all drafts of one form lie. */
export function placeOf(form) {
  const name = form.dataset.draftName || form.getAttribute("action") || "";
  return `${PREFIX}${person}|${pathOf(form)}|${name}|`;
}

export function draftKeyOf(form) {
  return placeOf(form) + requestKeyOf(form);
}

export function clock(moment) {
  return new Date(moment).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
}

export function dayAndClock(moment) {
  const day = new Date(moment).toLocaleDateString("en-GB", { day: "numeric", month: "short" });
  return `${day}, ${clock(moment)}`;
}

/** Until when something stays that was kept then, in words. */
export function untilWords(at) {
  return dayAndClock(at + KEPT_FOR_MS);
}

export function read(key) {
  try {
    return JSON.parse(window.localStorage.getItem(key));
  } catch {
    return null;
  }
}

export function write(key, kept) {
  try {
    window.localStorage.setItem(key, JSON.stringify(kept));
    return true;
  } catch {
    return false;
  }
}

export function remove(key) {
  window.localStorage.removeItem(key);
}

export function keysUnder(prefix) {
  return Object.keys(window.localStorage).filter((key) => key.startsWith(prefix));
}

/** Where a form lies that waits to be sent again (outbox.js). */
export function outboxKey(requestKey) {
  return `${OUTBOX}${person}|${requestKey}`;
}

/** Every form of this page's person that waits to be sent, oldest first. */
export function ownWaiting() {
  return keysUnder(outboxKey("")).sort();
}

/** All that this page's person has not saved yet, with the page on which it was written. */
export function ownUnsaved() {
  const waiting = ownWaiting().map((key) => [key, { ...read(key), waits: true }]);
  const sent = new Set(waiting.map(([, entry]) => entry.draft));
  const drafts = keysUnder(`${PREFIX}${person}|`).filter((key) => !sent.has(key)).map((key) => [key, read(key)]);
  const found = [...drafts, ...waiting].filter(([, kept]) => kept?.at);
  return found.map(([key, kept]) => ({ key, kept, path: kept.page ?? key.split("|")[2] }));
}

let closed = false;
const flushes = new Set();

/** Have `keep` called before somebody is asked what becomes of all that is kept. */
export function beforeAsking(keep) {
  flushes.add(keep);
}

export function flush() {
  for (const keep of flushes) keep();
}

/** Keep nothing any more: the person is signing out. */
export function close() {
  closed = true;
}

export function isClosed() {
  return closed;
}

/* A tab that is reloaded, or comes back to a form, goes on with its own draft. One that was
 * duplicated has not left the page that it is a copy of, and gets a name of its own. */
function nameOfTab() {
  const { sessionStorage } = window;
  const name = sessionStorage.getItem(LEFT) ? sessionStorage.getItem(TAB) : null;
  sessionStorage.removeItem(LEFT);
  const own = name ?? String(Math.random()).slice(2);
  sessionStorage.setItem(TAB, own);
  window.addEventListener("pagehide", () => sessionStorage.setItem(LEFT, "1"));
  window.addEventListener("pageshow", () => sessionStorage.removeItem(LEFT));
  return own;
}

export const tab = nameOfTab();

/** Take away what was saved since, and what is old. */
function settle() {
  for (const key of [...keysUnder(PREFIX), ...keysUnder(OUTBOX)]) {
    const kept = read(key);
    const old = !kept || Date.now() - kept.at > KEPT_FOR_MS;
    if (old || isSaved(key.slice(key.lastIndexOf("|") + 1))) remove(key);
  }
}

// Before any form looks for its drafts; and whatever a part was answered, as the form that was sent
// may be gone by then.
settle();
document.addEventListener("htmx:afterRequest", settle);
