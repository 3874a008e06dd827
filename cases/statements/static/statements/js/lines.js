/* Choosing lines of a page: by click, by dragging, or by keys; the field beside says the same.
 *
 * With keys the list is one stop: arrows move, Shift and an arrow choose further, Enter or Space
 * choose from here. What is typed into the field (31:4-9) is shown in the list.
 */
import { arrow, pressed } from "../../shell/js/keys.js";
import { say } from "../../shell/js/say.js";
import { widget } from "../../shell/js/widgets.js";

const PLACE = /^\s*(?:p\.?\s*)?(\d+)\s*:\s*(\d+)(?:\s*[-–]\s*(?:(\d+)\s*:\s*)?(\d+))?\s*$/i;

widget("statement-lines", (list) => {
  const field = document.getElementById(list.dataset.field ?? "");
  if (!field) return;
  const lines = [...list.children];
  const page = lines[0]?.dataset.place.split(":")[0];
  const number = (line) => Number(line.dataset.place.split(":")[1]);
  let from = 0;
  let here = 0;
  let dragging = false;

  list.setAttribute("role", "listbox");
  list.setAttribute("aria-multiselectable", "true");
  list.setAttribute("aria-label", `Lines of page ${page}`);
  for (const line of lines) {
    line.setAttribute("role", "option");
    line.tabIndex = -1;
  }

  const show = (first, last) => {
    lines.forEach((line, at) => line.setAttribute("aria-selected", String(at >= first && at <= last)));
  };
  const words = () => {
    const [first, last] = [Math.min(from, here), Math.max(from, here)].map((at) => number(lines[at]));
    return first === last ? `${page}:${first}` : `${page}:${first}-${last}`;
  };
  const choose = (at, further) => {
    here = at;
    if (!further) from = at;
    show(Math.min(from, here), Math.max(from, here));
    field.value = words();
    field.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const stand = (at) => {
    for (const line of lines) line.tabIndex = -1;
    lines[at].tabIndex = 0;
  };
  const read = () => {
    const found = PLACE.exec(field.value);
    if (!found) return show(1, 0);
    const [, firstPage, first, lastPage = firstPage, last = first] = found;
    const inside = lines.map((line, at) => [number(line), at]).filter(([n]) => {
      const after = Number(page) > Number(firstPage) || (page === firstPage && n >= Number(first));
      const before = Number(page) < Number(lastPage) || (page === lastPage && n <= Number(last));
      return after && before;
    });
    if (!inside.length) return show(1, 0);
    from = inside[0][1];
    here = inside.at(-1)[1];
    show(from, here);
  };

  const lineAt = (event) => lines.indexOf(event.target.closest?.("[data-place]"));
  list.addEventListener("pointerdown", (event) => {
    const at = lineAt(event);
    if (at < 0 || event.button || event.target.closest("a")) return;
    dragging = event.pointerType === "mouse";
    stand(at);
    choose(at, event.shiftKey);
  });
  list.addEventListener("pointermove", (event) => {
    const at = lineAt(event);
    if (dragging && at >= 0 && at !== here) choose(at, true);
  });
  document.addEventListener("pointerup", () => {
    if (!dragging) return;
    dragging = false;
    getSelection()?.removeAllRanges();
    say(`Chosen: ${field.value}.`, "lines");
  });
  list.addEventListener("keydown", (event) => {
    const at = lines.indexOf(document.activeElement);
    if (at < 0) return;
    const way = arrow(event)?.[1];
    const key = pressed(event);
    if (way) {
      event.preventDefault();
      const next = Math.min(Math.max(at + Math.sign(way), 0), lines.length - 1);
      stand(next);
      lines[next].focus();
      if (event.shiftKey) choose(next, true);
    } else if (key === "Enter" || key === " ") {
      event.preventDefault();
      choose(at, event.shiftKey);
      say(`Chosen: ${field.value}.`, "lines");
    }
  });
  field.addEventListener("input", (event) => {
    if (event.isTrusted) read();
  });
  document.addEventListener("draft:restored", read);
  stand(0);
  read();
});
