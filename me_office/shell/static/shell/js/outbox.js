/**
 * Sends what could not be sent, once the connection is back. A form with data-outbox carries the
 * record's key and a request key made before it was first sent, so that however often it goes out,
 * the office records it once and gives its first answer again. An entry goes when the office says
 * that it was saved; one that is refused waits for its person to open and correct it.
 */
import {
  draftKeyOf, isSaved, outboxKey, ownWaiting, read, remove, requestKeyOf, untilWords, write,
} from "./kept.js";
import { ask, noteOther, person } from "./page_of.js";
import { say } from "./say.js";

const AGAIN_MS = 4000;
const TOO_MANY = 429;
let timer = 0;
let sending = false;
let told = "";

function entries() {
  return ownWaiting().map((key) => [key, read(key)]).filter(([, entry]) => entry);
}

function waiting() {
  return entries().filter(([, entry]) => !entry.refused);
}

function waitingWords(rows) {
  if (!rows.length) return "";
  const until = untilWords(Math.min(...rows.map(([, entry]) => entry.at)));
  return rows.length === 1
    ? `One entry is kept on this device and will be sent. It is kept until ${until}`
    : `${rows.length} entries are kept on this device and will be sent. They are kept until ${until}`;
}

function refusedWords(refused) {
  if (!refused.length) return "";
  return refused.length === 1 ? "One entry was not accepted" : `${refused.length} entries were not accepted`;
}

function tell() {
  const refused = entries().filter(([, entry]) => entry.refused);
  const parts = [waitingWords(waiting()), refusedWords(refused)].filter(Boolean);
  const text = parts.join(". ");
  for (const place of document.querySelectorAll("[data-outbox-words]")) {
    place.textContent = text;
    if (refused.length) place.append(": ", wayTo(refused[0][1]));
  }
  if (text !== told) say(text || "What was kept on this device is sent.");
  told = text;
}

function wayTo(entry) {
  const link = document.createElement("a");
  link.href = entry.page;
  link.textContent = "Open it to correct it";
  return link;
}

function hold(entry) {
  const page = window.location.pathname + window.location.search;
  const about = { title: document.title, page, at: Date.now() };
  if (write(outboxKey(entry.requestKey), { draft: "", ...entry, ...about })) return true;
  say("No room on this device: leave this page open, and save again when the connection is back.");
  return false;
}

function keep(form) {
  const body = new URLSearchParams(new FormData(form)).toString();
  const requestKey = requestKeyOf(form);
  const entry = { url: form.getAttribute("action"), body, draft: draftKeyOf(form), requestKey };
  if (!hold(entry)) return;
  tell();
  soon();
}

const listeners = [];

/** Have `listener(answer, entry, saved)` called with each answer that decided something. */
export function onAnswer(listener) {
  listeners.push(listener);
}

/**
 * Send what a script made, a POST with its request key; kept until the office says it is saved.
 * Tells whether there was room for it on this device.
 */
export function sendKept(entry) {
  const held = hold(entry);
  if (held) sendAll();
  return held;
}

function soon() {
  window.clearTimeout(timer);
  if (waiting().length) timer = window.setTimeout(sendAll, AGAIN_MS);
}

async function sendAll() {
  if (sending) return;
  sending = true;
  try {
    // What is added meanwhile goes out in the same run.
    const tried = new Set();
    const untried = () => waiting().find(([key]) => !tried.has(key));
    for (let next = untried(); next; next = untried()) {
      tried.add(next[0]);
      if (!(await sendOne(...next))) break;
    }
  } finally {
    sending = false;
    tell();
    soon();
  }
}

function leave(key, entry) {
  remove(key);
  remove(entry.draft);
}

async function sendOne(key, entry) {
  if (isSaved(entry.requestKey)) {
    leave(key, entry);
    return true;
  }
  const body = new URLSearchParams(entry.body);
  body.delete("csrfmiddlewaretoken"); // the one that counts now goes along as a header
  let answer;
  try {
    answer = await ask(entry.url, { method: "POST", body, headers: { "HX-Request": "true" } });
  } catch {
    return false;
  }
  const saved = isSaved(entry.requestKey);
  if (saved) {
    leave(key, entry);
  } else if (await isForLater(answer)) {
    return false;
  } else {
    write(key, { ...entry, refused: answer.status });
  }
  for (const listener of listeners) await listener(answer.clone(), entry, saved);
  const open = document.querySelector("form[data-outbox]");
  const mine = open && requestKeyOf(open) === entry.requestKey;
  // Whoever has gone on to write something else is not interrupted; the list is read again later.
  if (!open || mine) await show(answer);
  return true;
}

/** Nothing was decided: the office is away or busy, or its person has to sign in first. */
async function isForLater(answer) {
  if (answer.status >= 500 || answer.status === TOO_MANY) return true;
  // A session that ended is answered with a way to sign in, not with a refusal.
  const away = answer.redirected ? new URL(answer.url).pathname : answer.headers.get("HX-Redirect") ?? "";
  if (away.startsWith("/sign-in") || away.startsWith("/account/")) return true;
  return answer.status === 409 && noteOther(await answer.clone().text());
}

async function show(answer) {
  const work = document.getElementById("chart-work");
  const text = await answer.text();
  if (work && text.includes('id="chart-work"')) {
    window.htmx.swap(work, text, { swapStyle: "outerHTML" });
    const path = answer.headers.get("HX-Push-Url");
    if (path) window.history.replaceState(window.history.state, "", path);
  }
}

document.addEventListener("htmx:sendError", (event) => {
  const form = event.detail.elt.closest?.("form[data-outbox]");
  if (form && person) keep(form);
});
// A form that was sent by hand may be one that waited.
document.addEventListener("htmx:afterRequest", () => {
  if (told) tell();
});
window.addEventListener("online", sendAll);
if (person && ownWaiting().length) sendAll();
