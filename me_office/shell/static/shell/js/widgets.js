/* Widgets start from a data-widget attribute, once per element, also after htmx swaps a part in.
 *
 * A module of any part of the office registers with
 *   import { widget } from "../../shell/js/widgets.js";
 *   widget("chart", (element) => { ... });
 * Import this module by its relative address only, so that the page holds one registry.
 */
const starters = new Map();
const started = new WeakMap();

function startElement(element) {
  for (const name of (element.dataset.widget || "").split(/\s+/)) {
    const start = starters.get(name);
    const names = started.get(element) || new Set();
    if (!start || names.has(name)) continue;
    started.set(element, names.add(name));
    start(element);
  }
}

export function startIn(root) {
  if (root.matches && root.matches("[data-widget]")) startElement(root);
  for (const element of root.querySelectorAll("[data-widget]")) startElement(element);
}

export function widget(name, start) {
  starters.set(name, start);
  startIn(document);
}

document.addEventListener("htmx:load", (event) => startIn(event.detail.elt));
