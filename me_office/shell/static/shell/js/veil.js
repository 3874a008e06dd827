/* Veiled pictures: V shows and hides, the one in focus or else all on the page. */
import { charactersAct, pressed } from "./keys.js";
import { widget } from "./widgets.js";

const veils = () => [...document.querySelectorAll('details[data-widget~="veil"]')];

function toggle(focused) {
  if (focused) {
    focused.open = !focused.open;
    return;
  }
  const all = veils();
  const open = !all.some((veil) => veil.open);
  for (const veil of all) veil.open = open;
}

document.addEventListener("keydown", (event) => {
  if (pressed(event) !== "v") return;
  const focused = event.target.closest?.('details[data-widget~="veil"]');
  if (!focused && veils().length === 0) return;
  event.preventDefault();
  toggle(focused);
});

widget("veil", (veil) => {
  if (!charactersAct) return;
  const cover = veil.querySelector("summary");
  cover.title = "V shows and hides";
  cover.setAttribute("aria-keyshortcuts", "v");
});
