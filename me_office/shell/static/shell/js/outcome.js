/* How what a worker makes has ended: said aloud, and told by the browser's tab to who looks elsewhere.
 *
 *   <li data-work="KEY">                                  under way; the part asks for itself again
 *   <li data-work="KEY" data-outcome="Ready: packet 2">   the end, also where it was not made
 *
 * What had ended before the page came is not told again. tab(words) is for what a page does by itself.
 */
import { say } from "./say.js";

const title = document.title;
let underWay = new Set();

export function tab(words) {
  document.title = words ? `${words} · ${title}` : title;
}

const works = (root) => [...(root.matches?.("[data-work]") ? [root] : []), ...root.querySelectorAll("[data-work]")];

document.addEventListener("htmx:beforeSwap", ({ detail: { target } }) => {
  const found = works(target).filter((one) => !("outcome" in one.dataset));
  underWay = new Set([...underWay, ...found.map((one) => one.dataset.work)]);
});

document.addEventListener("htmx:load", ({ detail: { elt } }) => {
  for (const one of works(elt)) {
    if (!("outcome" in one.dataset) || !underWay.delete(one.dataset.work)) continue;
    say(one.dataset.outcome);
    tab(one.dataset.outcome);
  }
});
