/* Keys of the photograph log and of one photograph: arrows go from picture to picture. */
import { charactersAct, isTyping, onPage, pressed } from "../../shell/js/keys.js";
import { widget } from "../../shell/js/widgets.js";

const RELATIONS = { ArrowLeft: "prev", ArrowRight: "next" };

widget("turn-pages", (turn) => {
  document.addEventListener("keydown", (event) => {
    if (!turn.isConnected || event.defaultPrevented || event.shiftKey) return;
    const relation = RELATIONS[pressed(event)];
    if (!relation || !onPage(event, document.querySelector(".viewer-stage"))) return;
    const link = turn.querySelector(`a[rel="${relation}"]`);
    if (!link) return;
    event.preventDefault();
    link.click();
  });
});

/* How many cells stand in the first line: those that share the first one's top edge. */
function lineLength(links) {
  const top = links[0].closest("li").offsetTop;
  const next = links.findIndex((link) => Math.abs(link.closest("li").offsetTop - top) > 4);
  return next === -1 ? links.length : next;
}

/* Two photographs chosen with C are shown side by side. */
function comparing(grid) {
  const words = document.querySelector('[data-part="chosen"]');
  let first = null;
  const say = () => {
    words.hidden = !first;
    words.textContent = first ? `Photograph ${first.dataset.number} is selected. Press C on another to compare, Escape to cancel.` : "";
  };
  return (cell) => {
    first?.classList.remove("is-chosen");
    if (first && cell && first !== cell) {
      window.location.assign(`${grid.dataset.compare}?left=${first.dataset.number}&right=${cell.dataset.number}`);
      return;
    }
    first = first === cell ? null : cell;
    first?.classList.add("is-chosen");
    say();
  };
}

widget("photograph-grid", (grid) => {
  const choose = comparing(grid);
  // The link is the number; whoever points may take the picture for it.
  grid.addEventListener("click", (event) => {
    if (event.target.matches(".picture img")) event.target.closest("li").querySelector(".photograph-number").click();
  });
  grid.addEventListener("keydown", (event) => {
    if (event.shiftKey || isTyping(event.target)) return;
    const key = pressed(event);
    const links = [...grid.querySelectorAll(".photograph-number")];
    const cell = event.target.closest("li");
    if (key === "c") choose(cell);
    if (key === "Escape") choose(null);
    const now = links.findIndex((link) => link.closest("li") === cell);
    if (now === -1) return;
    const line = lineLength(links);
    const places = {
      ArrowLeft: now - 1, ArrowRight: now + 1, ArrowUp: now - line, ArrowDown: now + line,
      Home: 0, End: links.length - 1,
    };
    if (!(key in places)) return;
    const next = links[places[key]];
    // Near the end the following ones are fetched before the keys get there.
    const more = grid.querySelector(".photograph-more");
    if (more && places[key] >= links.length - line) window.htmx?.trigger(more, "more");
    if (!next) return;
    event.preventDefault();
    next.focus();
  });
});
