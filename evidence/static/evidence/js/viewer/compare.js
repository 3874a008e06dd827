/* Two photographs side by side: what is done to one is done to the other while they are linked. */
import { pressed } from "../../../shell/js/keys.js";
import { widget } from "../../../shell/js/widgets.js";
import { forPicture, viewerOf } from "./viewer.js";

widget("compare", (element) => {
  const pair = [...element.querySelectorAll(".viewer")].map(viewerOf).filter(Boolean);
  const linked = document.querySelector('[data-part="linked"]');
  pair.forEach((viewer, place) => {
    viewer.onMove = (change) => {
      if (linked.checked) pair[1 - place]?.stage.follow(change);
    };
  });
  document.addEventListener("keydown", (event) => {
    if (!element.isConnected || !forPicture(event)) return;
    if (pressed(event) === "l") linked.checked = !linked.checked;
    else {
      const focused = pair.find((viewer) => viewer.element.contains(event.target)) ?? pair[0];
      if (!focused?.key(event)) return;
    }
    event.preventDefault();
    event.stopImmediatePropagation();
  }, { capture: true });
});
