/** What unfolds over the chart, its menu of views and its list of keys: one at a time, Escape folds. */

import { pressed } from "../../shell/js/keys.js";

export function watchFolds(side) {
  const folds = [...side.querySelectorAll("details")];
  for (const fold of folds) {
    fold.addEventListener("toggle", () => {
      if (!fold.open) return;
      for (const other of folds) if (other !== fold) other.open = false;
    });
    fold.addEventListener("keydown", (event) => {
      if (pressed(event) !== "Escape") return;
      event.preventDefault();
      fold.open = false;
      side.querySelector("[data-part='paper']").focus({ preventScroll: true });
    });
  }
  side.addEventListener("pointerdown", (event) => {
    for (const fold of folds) if (!fold.contains(event.target)) fold.open = false;
  });
}
