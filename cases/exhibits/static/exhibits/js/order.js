/* Dragging exhibits into another order; the buttons of each row do the same without it. */
import { widget } from "../../shell/js/widgets.js";

function send(row, place) {
  const form = row.querySelector("form");
  const field = document.createElement("input");
  field.type = "hidden";
  field.name = "place";
  field.value = String(place);
  form.append(field);
  form.requestSubmit();
}

widget("exhibit-order", (list) => {
  const rows = () => [...list.children];
  let dragged = null;
  const clear = () => {
    for (const row of rows()) row.classList.remove("drop-before", "drop-after", "dragged");
  };
  const target = (event) => {
    const row = event.target.closest(".exhibit-row");
    if (!row || !dragged || row === dragged) return null;
    const box = row.getBoundingClientRect();
    return { row, after: event.clientY > box.top + box.height / 2 };
  };
  for (const row of rows()) row.draggable = true;
  list.addEventListener("dragstart", (event) => {
    dragged = event.target.closest(".exhibit-row");
    dragged?.classList.add("dragged");
    event.dataTransfer.effectAllowed = "move";
    event.dataTransfer.setData("text/plain", "");
  });
  list.addEventListener("dragend", () => {
    dragged = null;
    clear();
  });
  list.addEventListener("dragover", (event) => {
    const over = target(event);
    for (const row of rows()) row.classList.remove("drop-before", "drop-after");
    if (!over) return;
    event.preventDefault();
    over.row.classList.add(over.after ? "drop-after" : "drop-before");
  });
  list.addEventListener("drop", (event) => {
    const over = target(event);
    if (!over) return;
    event.preventDefault();
    const others = rows().filter((row) => row !== dragged);
    send(dragged, others.indexOf(over.row) + (over.after ? 2 : 1));
  });
});
