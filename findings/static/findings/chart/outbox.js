/**
 * Sends what could not be sent, once the connection is back. A form with data-outbox carries the
 * record's key and a request key made before it was first sent, so that however often it goes out,
 * the office records it once and gives its first answer again.
 */
import { ask, noteOther } from "../../shell/js/page_of.js";
import { say } from "../../shell/js/say.js";

const PREFIX = "outbox|";
const AGAIN_MS = 4000;
const person = document.body.dataset.person;
let timer = 0;
let sending = false;

function keys() {
  const own = `${PREFIX}${person}|`;
  return Object.keys(window.localStorage).filter((key) => key.startsWith(own)).sort();
}

function read(key) {
  try {
    return JSON.parse(window.localStorage.getItem(key));
  } catch {
    return null;
  }
}

let told = "";

function tell(text) {
  for (const place of document.querySelectorAll("[data-outbox-words]")) place.textContent = text;
  if (text !== told) say(text || "What was kept on this device is sent.");
  told = text;
}

function waitingWords() {
  const waiting = keys().length;
  if (!waiting) return "";
  return waiting === 1
    ? "One entry is kept on this device and will be sent"
    : `${waiting} entries are kept on this device and will be sent`;
}

/** The key under which the shell keeps what was typed in a form. */
function draftKey(form) {
  const name = form.dataset.draftName || form.getAttribute("action") || "";
  return `draft|${person}|${window.location.pathname}|${name}`;
}

function keep(form) {
  const body = new URLSearchParams(new FormData(form)).toString();
  const requestKey = form.elements.request_key?.value ?? String(Date.now());
  const entry = { url: form.getAttribute("action"), body, draft: draftKey(form), requestKey };
  window.localStorage.setItem(`${PREFIX}${person}|${requestKey}`, JSON.stringify(entry));
  tell(waitingWords());
  soon();
}

function soon() {
  window.clearTimeout(timer);
  if (keys().length) timer = window.setTimeout(sendAll, AGAIN_MS);
}

async function sendAll() {
  if (sending) return;
  sending = true;
  try {
    for (const key of keys()) if (!(await sendOne(key))) break;
  } finally {
    sending = false;
    tell(waitingWords());
    soon();
  }
}

async function sendOne(key) {
  const entry = read(key);
  if (!entry) {
    window.localStorage.removeItem(key);
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
  // A session that ended is answered with a way to sign in, not with a refusal.
  const away = answer.redirected ? new URL(answer.url).pathname : answer.headers.get("HX-Redirect") ?? "";
  if (answer.status >= 500 || away.startsWith("/sign-in")) return false;
  if (answer.status === 409 && noteOther(await answer.clone().text())) return false;
  window.localStorage.removeItem(key);
  if (answer.ok) window.localStorage.removeItem(entry.draft);
  const open = document.querySelector("form[data-outbox]");
  const mine = open?.elements.request_key?.value === entry.requestKey;
  // Whoever has gone on to write something else is not interrupted; the list is read again later.
  if (!open || mine) await show(answer);
  return true;
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
document.addEventListener("submit", (event) => {
  if (!event.target.hasAttribute("data-clears-device")) return;
  for (const key of keys()) window.localStorage.removeItem(key);
});
window.addEventListener("online", sendAll);
if (person && keys().length) sendAll();
