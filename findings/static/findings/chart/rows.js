/** The list of findings beside the chart: walked by arrows, stepped through from the chart. */
import { arrow } from "../../shell/js/keys.js";
import { say } from "../../shell/js/say.js";
import { hand } from "./hand.js";

const all = () => [...document.querySelectorAll(".finding-row")];

/** Scroll the list, not the page, to the selected row. */
export function showRow() {
  const row = document.querySelector(".finding-row[aria-current]");
  const list = row?.closest(".chart-list");
  if (!list) return;
  const [seen, room] = [row.getBoundingClientRect(), list.getBoundingClientRect()];
  const head = list.querySelector(".chart-list-head").offsetHeight;
  if (seen.top < room.top + head) list.scrollTop -= room.top + head - seen.top;
  else if (seen.bottom > room.bottom) list.scrollTop += seen.bottom - room.bottom;
}

/** Open the finding of a number, as its row does, and stay on the chart. */
export function openNumber(number) {
  hand.then = "chart";
  document.querySelector(`.finding-row[data-number="${number}"]`)?.click();
}

/** Go to the next (1) or the previous (-1) finding, and stay on the chart. */
export function step(by) {
  const rows = all();
  const now = rows.findIndex((row) => row.hasAttribute("aria-current"));
  const next = rows[now < 0 ? (by > 0 ? 0 : rows.length - 1) : now + by];
  if (!next) {
    say(rows.length ? `This is the ${by > 0 ? "last" : "first"} finding.` : "No finding is recorded yet.");
    return;
  }
  hand.then = "chart";
  next.click();
}

document.addEventListener("keydown", (event) => {
  const row = event.target.closest?.(".finding-row");
  const [, down] = (row && arrow(event)) || [0, 0];
  if (!down) return;
  const rows = all();
  event.preventDefault();
  rows[rows.indexOf(row) + down]?.focus();
});

/* Who else is here is asked again and again; it is said when it changes. */
document.addEventListener("htmx:afterSwap", (event) => {
  const { target } = event.detail;
  if (!target.matches?.(".chart-present")) return;
  const words = target.textContent.trim();
  if (words && words !== hand.present) say(`${words}.`);
  hand.present = words;
});
