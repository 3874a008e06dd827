/* The list of keys: opened by a button or "?", it shows what the page's tools say of theirs.
 *
 * <dl class="key-rows" data-keys="Body chart">   rows of one tool, on the page or in a template
 * <button data-opens="keys-dialog" hidden>       opens the list; shown once this script is there
 */
import { pressed } from "./keys.js";
import { widget } from "./widgets.js";

function rowsOf(tool) {
  const title = document.createElement("h3");
  title.textContent = tool.dataset.keys;
  const rows = tool.cloneNode(true);
  rows.removeAttribute("data-keys");
  rows.removeAttribute("id");
  rows.className = "key-rows";
  return [title, rows];
}

/* What waits in a template is not found by a selector. */
function tools() {
  const waiting = [...document.querySelectorAll("template[data-holds-keys]")];
  const roots = [document, ...waiting.map((one) => one.content)];
  const found = roots.flatMap((root) => [...root.querySelectorAll("[data-keys]")]);
  const names = found.map((one) => one.dataset.keys);
  // Two pictures side by side have the same keys.
  return found.filter((one, place) => names.indexOf(one.dataset.keys) === place);
}

widget("key-list", (dialog) => {
  const lists = dialog.querySelector('[data-part="lists"]');
  const open = () => {
    if (dialog.open) return;
    lists.replaceChildren(...tools().flatMap(rowsOf));
    dialog.showModal();
  };
  const show = (root) => {
    for (const button of root.querySelectorAll(`[data-opens="${dialog.id}"]`)) button.hidden = false;
  };
  show(document);
  document.addEventListener("htmx:load", (event) => show(event.detail.elt));
  document.addEventListener("click", (event) => {
    if (event.target.closest?.(`[data-opens="${dialog.id}"]`)) open();
  });
  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || pressed(event) !== "?") return;
    event.preventDefault();
    open();
  });
});
