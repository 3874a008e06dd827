/* Keys of the photograph log and of one photograph: arrows go from picture to picture. */
import { widget } from "../../shell/js/widgets.js";

function isTyping(target) {
  return target.closest?.("input, textarea, select, [contenteditable]") != null;
}

function plainKey(event) {
  return !(event.ctrlKey || event.metaKey || event.altKey || event.shiftKey || isTyping(event.target));
}

const RELATIONS = { ArrowLeft: "prev", ArrowRight: "next" };

widget("turn-pages", (turn) => {
  document.addEventListener("keydown", (event) => {
    if (!turn.isConnected || !plainKey(event) || !(event.key in RELATIONS)) return;
    const link = turn.querySelector(`a[rel="${RELATIONS[event.key]}"]`);
    if (!link) return;
    event.preventDefault();
    link.click();
  });
});

/* How many cells stand in the first line: those that share the first one's top edge. */
function lineLength(links) {
  const top = links[0].getBoundingClientRect().top;
  const next = links.findIndex((link) => Math.abs(link.getBoundingClientRect().top - top) > 4);
  return next === -1 ? links.length : next;
}

widget("photograph-grid", (grid) => {
  grid.addEventListener("keydown", (event) => {
    if (!plainKey(event)) return;
    const links = [...grid.querySelectorAll(".photograph-number")];
    const cell = event.target.closest("li");
    const now = links.findIndex((link) => link.closest("li") === cell);
    if (now === -1) return;
    const line = lineLength(links);
    const step = { ArrowLeft: -1, ArrowRight: 1, ArrowUp: -line, ArrowDown: line }[event.key];
    if (!step || !links[now + step]) return;
    event.preventDefault();
    links[now + step].focus();
  });
});
