/* A moment is typed in office time. Where this device keeps another time, that stands beside the
 * field; in the hour that comes twice, which of the two is chosen at once.
 *
 * <span class="moment" data-widget="office-time" data-zone="America/New_York">
 *   <input type="datetime-local"><input type="hidden" data-part="offset"></span>
 * Without this module the office asks after it has read the form.
 */
import { offsetWords, readingsOf, offsetAt } from "./office_clock.js";
import { widget } from "./widgets.js";

const PASSES = ["first time", "second time"];

widget("office-time", (root) => {
  const input = root.querySelector("input:not([data-part])");
  const { zone } = root.dataset;
  let offset = root.querySelector('[data-part="offset"]');
  const note = document.createElement("span");
  note.className = "help moment-zone";
  note.id = `${input.id}_zone`;

  function put(made) {
    made.name = offset.name;
    made.dataset.part = "offset";
    if (offset.getAttribute("form")) made.setAttribute("form", offset.getAttribute("form"));
    offset.replaceWith(made);
    offset = made;
  }

  function hide() {
    if (offset.tagName !== "SELECT") return;
    const hidden = document.createElement("input");
    hidden.type = "hidden";
    hidden.value = "";
    put(hidden);
  }

  function offer(found) {
    const chosen = offset.value;
    const select = document.createElement("select");
    select.setAttribute("aria-label", "First or second time");
    select.add(new Option("choose one", ""));
    found.forEach((minutes, index) => {
      const { iso, words } = offsetWords(minutes);
      select.add(new Option(`${PASSES[index]}, ${words}`, iso));
    });
    put(select);
    select.value = chosen;
    if (select.selectedIndex < 0) select.value = "";
  }

  function sayZone() {
    const typed = Date.parse(input.value) || Date.now();
    const elsewhere = offsetAt(typed, zone) !== -new Date(typed).getTimezoneOffset();
    if (elsewhere) {
      note.textContent = `Office time (${zone.replaceAll("_", " ")}). This device keeps another time.`;
      root.append(note);
      input.setAttribute("aria-describedby", [...new Set([...(input.getAttribute("aria-describedby") || "").split(" "), note.id])].join(" ").trim());
    } else note.remove();
  }

  function look() {
    const found = readingsOf(input.value, zone);
    if (found.length > 1) offer(found);
    else hide();
    sayZone();
  }

  input.addEventListener("change", look);
  root.addEventListener("draft:restored", look);
  look();
});
