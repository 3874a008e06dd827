/** Another view of the body: it swaps the chart only, so that the panel keeps what was typed in it. */
import { ask } from "../../shell/js/page_of.js";
import { say } from "../../shell/js/say.js";
import { hand } from "./hand.js";

/** Follow a link to another view. */
export function viewClick(chart, event) {
  const link = event.target.closest("a[data-view-tab]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  event.preventDefault();
  changeView(chart, new URL(link.href));
}

/** Show the view of an address; the focus goes to its tab, or stays where `hand.then` says. */
export async function changeView(chart, address) {
  const { then } = hand;
  hand.then = "";
  if (chart.takes || !address.pathname.endsWith("/chart/")) {
    address.pathname = address.pathname.replace(/(\/cases\/[^/]+\/).*$/, "$1chart/");
  }
  let answer;
  try {
    answer = await ask(address, { headers: { "HX-Request": "true" } });
  } catch {
    chart.say("No connection: this view cannot be loaded now.");
    return;
  }
  if (!answer.ok) return;
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const side = page.querySelector(".chart-side");
  if (!side) return;
  side.dataset.placing = chart.side.dataset.placing;
  chart.side.replaceWith(side);
  if (!side.dataset.placing) window.history.replaceState(window.history.state, "", address);
  for (const input of document.querySelectorAll('.panel-form [data-part="view"]')) input.value = side.dataset.view;
  window.htmx.process(side);
  side.dispatchEvent(new CustomEvent("htmx:load", { bubbles: true, detail: { elt: side } }));
  const tab = side.querySelector(`a[data-view-tab="${side.dataset.view}"]`);
  // What was placed by words has been said already.
  if (then === "form") return;
  say(`${side.dataset.name}.`, "view");
  if (then === "chart") side.querySelector("[data-part='paper']").focus({ preventScroll: true });
  else (tab.closest("details")?.querySelector("summary") ?? tab).focus();
}
