/* Says a sentence to whoever hears the page: the page's one live region (WCAG 2.2, 4.1.3).
 *
 *   import { say } from "../../shell/js/say.js";
 *   say("Photograph 12 is saved.");
 *   say("Crosshair at the left forearm.", "crosshair");   // takes the place of one still waiting
 *
 * Each sentence is a paragraph of its own, so that the same one is read again, and two in a row are
 * both read. They come after a moment, or a focus that moves in the same breath would talk over
 * them. What the page says at its start is said, and so is what a part says that htmx brings:
 *   <div data-say="Finding 3 is saved.">
 * What is said must be seen as well: nothing here is the only place of a message.
 */
const BEFORE_MS = 120;
const BETWEEN_MS = 200;
const KEPT = 6;
const KEPT_FOR_MS = 20_000;

const waiting = [];
let talking = 0;
let tidying = 0;

/* Whatever lies behind a modal dialog or a full screen is not heard. */
function home() {
  return document.querySelector("dialog:modal") ?? document.fullscreenElement ?? document.body;
}

function region() {
  const there = document.getElementById("said");
  if (there && there.parentElement !== home()) home().append(there);
  return there;
}

function talk() {
  const place = region();
  const next = waiting.shift();
  if (place && next) {
    const line = document.createElement("p");
    line.textContent = next.text;
    place.append(line);
    while (place.children.length > KEPT) place.firstElementChild.remove();
    // Nobody should come upon old sentences at the end of the page.
    window.clearTimeout(tidying);
    tidying = window.setTimeout(() => place.replaceChildren(), KEPT_FOR_MS);
  }
  talking = waiting.length ? window.setTimeout(talk, BETWEEN_MS) : 0;
}

/** Say a sentence; one about the same thing that has not been said yet gives way to it. */
export function say(text, about = "") {
  const words = String(text ?? "").trim().replace(/\s+/g, " ");
  if (!words) return;
  const same = about ? waiting.findIndex((one) => one.about === about) : -1;
  if (same >= 0) waiting.splice(same, 1);
  waiting.push({ text: words, about });
  if (!talking) {
    region();
    talking = window.setTimeout(talk, BEFORE_MS);
  }
}

function sayAllIn(root) {
  if (root.matches?.("[data-say]")) say(root.dataset.say);
  for (const one of root.querySelectorAll("[data-say]")) say(one.dataset.say);
}

for (const message of document.querySelectorAll(".messages > li")) say(message.textContent);
sayAllIn(document);
document.addEventListener("htmx:load", (event) => {
  if (event.detail.elt !== document.body) sayAllIn(event.detail.elt);
});
