/* Holds a form back while the office can't be reached, and sends it once when it can.
 *
 * A browser that sends a form without a connection leaves the page for one of its own. So a form is
 * sent straight away only when the office answered a moment ago; otherwise it is asked first. What
 * is held stays on the page and, with draft.js, on this device. The same record key and request key
 * go with it, so that a form that arrived twice is one record.
 */
import { isPost } from "./forms.js";
import { say } from "./say.js";
import { changeStill } from "./still.js";

const FRESH_MS = 10_000;
const ANSWER_WITHIN_MS = 5_000;
const ASK_AGAIN_MS = 5_000;
const IDLE_MS = 2_000;
const person = document.body.dataset.person;

let heardAt = Date.now();
let reachable = window.navigator.onLine;
let typedAt = 0;
let asking = null;
let held = null;
let timer = 0;

async function ask() {
  asking ??= window
    .fetch("/health/", { cache: "no-store", signal: AbortSignal.timeout(ANSWER_WITHIN_MS) })
    .then((answer) => answer.ok)
    .catch(() => false)
    .then((answered) => {
      asking = null;
      if (answered) heardAt = Date.now();
      reachable = answered;
      show();
      return answered;
    });
  return asking;
}

function band() {
  let line = document.getElementById("connection");
  if (line) return line;
  line = document.createElement("p");
  line.id = "connection";
  line.className = "connection";
  // In the head line it stays in sight however far the form is scrolled.
  const head = document.querySelector(".head-line");
  if (head) head.append(line);
  else document.querySelector(".top-line")?.after(line);
  return line;
}

function wordsNow() {
  if (held) return "No connection. What you sent is kept on this device and will be sent when the connection is back. Leave this page open.";
  return reachable ? "" : "No connection. What you type is kept on this device.";
}

function show() {
  const words = wordsNow();
  if (!words && !document.getElementById("connection")) return;
  const line = band();
  if (line.textContent === words) return;
  changeStill([line.closest(".head-line") ?? line], () => {
    line.textContent = wordsNow();
  });
  if (words) say(words, "connection");
}

function hold(form, submitter) {
  held = { form, submitter };
  show();
  form.dispatchEvent(new CustomEvent("connection:held"));
  window.clearInterval(timer);
  timer = window.setInterval(tryAgain, ASK_AGAIN_MS);
}

async function tryAgain() {
  if (!held || Date.now() - typedAt < IDLE_MS || !(await ask()) || !held) return;
  const { form, submitter } = held;
  held = null;
  window.clearInterval(timer);
  show();
  form.requestSubmit(submitter?.isConnected ? submitter : null);
}

function isOurs(form) {
  return isPost(form) && !form.hasAttribute("hx-post") && !form.hasAttribute("data-clears-device");
}

document.addEventListener("submit", async (event) => {
  const form = event.target;
  if (!person || !isOurs(form)) return;
  if (reachable && Date.now() - heardAt < FRESH_MS) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  if (held?.form === form) {
    typedAt = 0;
    tryAgain();
    return;
  }
  if (await ask()) form.requestSubmit(event.submitter);
  else hold(form, event.submitter);
}, true);

document.addEventListener("input", () => {
  typedAt = Date.now();
  if (person && typedAt - heardAt > FRESH_MS) ask();
});

window.addEventListener("offline", () => {
  reachable = false;
  show();
});
window.addEventListener("online", async () => {
  if (held) tryAgain();
  else ask();
});
if (!reachable) show();
