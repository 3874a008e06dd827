/**
 * Where the focus goes when parts of the page are swapped: to the thing concerned, never back to the
 * page's beginning (WCAG 2.2, 2.4.3). A row that was chosen keeps it; a form that opens, and what was
 * saved, take it at their heading; whoever walks the findings on the chart stays on the chart.
 */
import { say } from "../../shell/js/say.js";
import { hand } from "./hand.js";

document.addEventListener("htmx:beforeRequest", (event) => {
  const { elt, target } = event.detail;
  if (target?.id !== "chart-work" || hand.then) return;
  if (elt.matches(".finding-row")) hand.then = "row";
  else hand.then = elt.matches("form") ? "saved" : "heading";
});
for (const failed of ["htmx:sendError", "htmx:responseError"]) {
  document.addEventListener(failed, () => {
    hand.then = "";
  });
}

const currentRow = () => document.querySelector(".finding-row[aria-current]");

/** The selected finding as it is said: "Finding 2 of 13: scar, left cheek, injury." */
export function rowSentence(row) {
  const rows = [...document.querySelectorAll(".finding-row")];
  const words = row.querySelector(".finding-words").textContent.trim().replace(/\s+/g, " ").replaceAll(" ,", ",");
  return `Finding ${row.dataset.number}, ${rows.indexOf(row) + 1} of ${rows.length}: ${words}.`;
}

function heading() {
  const panel = document.querySelector(".chart-panel :is(h2, h3)");
  const found = panel && !panel.closest(".chart-empty") ? panel : document.querySelector(".chart-list-head h2");
  found.tabIndex = -1;
  return found;
}

/** Give the focus to what the swap was about. */
export function focusAfterSwap(chart) {
  const { then } = hand;
  hand.then = "";
  const form = chart.takes?.form;
  // A list of errors takes the focus itself; whoever writes in the form already stays there.
  if (!then || document.querySelector('.chart-panel [data-widget~="error-list"]')) return;
  if (form?.contains(document.activeElement)) return;
  if (then === "chart" || then === "term") {
    const term = then === "term" ? form?.elements.term : null;
    (term && !term.value ? term : chart.paper).focus({ preventScroll: true });
    if (then === "chart" && currentRow()) say(rowSentence(currentRow()), "finding");
  } else {
    ((then === "row" && currentRow()) || heading()).focus();
  }
}

/* Not every browser gives the focus to what an address names. */
const named = document.getElementById(window.location.hash.slice(1));
if (named?.matches(".chart-panel, .chart-list") && document.activeElement === document.body) named.focus();
