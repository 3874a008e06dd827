/* Putting exhibits into another order: by the buttons of each row, or by its grip with mouse or finger.
 *
 * Each move is saved at once and said when it is. What comes while one is being saved goes with the next.
 * Without scripts the buttons send a form each.
 */
import { goesTo } from "../../shell/js/forms.js";
import { pressed } from "../../shell/js/keys.js";
import { ask } from "../../shell/js/page_of.js";
import { say } from "../../shell/js/say.js";
import { widget } from "../../shell/js/widgets.js";

const EDGE_PX = 90;
const SCROLL_PX = 14;

widget("exhibit-order", (list) => {
  const form = document.getElementById(list.dataset.form);
  const rows = () => [...list.children];
  const order = () => rows().map((row) => row.dataset.exhibit).join(",");
  const place = (row) => rows().indexOf(row) + 1;
  let saved = order();
  let sending = false;
  let said = "";

  const show = () => {
    rows().forEach((row, index, all) => {
      row.querySelector('[data-move="up"]').disabled = index === 0;
      row.querySelector('[data-move="down"]').disabled = index === all.length - 1;
    });
  };

  /* The page that the office answers with holds both orders. */
  const sendWhole = (wanted) => {
    form.elements.was.value = saved;
    form.elements.order.value = wanted;
    form.requestSubmit();
  };

  const save = async () => {
    if (sending || order() === saved) return;
    sending = true;
    const wanted = order();
    const words = said;
    try {
      const body = new URLSearchParams({ was: saved, order: wanted });
      const answer = await ask(goesTo(form), {
        method: "POST", body, keepalive: true, headers: { "HX-Request": "true" },
      });
      if (!answer.ok) {
        sendWhole(wanted);
        return;
      }
      saved = wanted;
      form.hidden = true;
      say(words, "order");
    } catch {
      form.elements.was.value = saved;
      form.elements.order.value = order();
      form.hidden = false;
      say("The order is not saved: the office can’t be reached.", "order");
      return;
    } finally {
      sending = false;
    }
    save();
  };

  const moved = (row) => {
    show();
    said = `Exhibit ${row.dataset.number} is moved to place ${place(row)}.`;
    save();
  };

  for (const row of rows()) row.querySelector('[data-part="grip"]').hidden = false;

  list.addEventListener("click", (event) => {
    const button = event.target.closest("[data-move]");
    if (!button) return;
    event.preventDefault();
    const row = button.closest(".exhibit-row");
    // The neighbor is moved past it, so that the focus stays where it is.
    if (button.dataset.move === "up") row.after(row.previousElementSibling);
    else row.before(row.nextElementSibling);
    moved(row);
    if (button.disabled) row.querySelector("[data-move]:not(:disabled)")?.focus();
    row.scrollIntoView({ block: "nearest" });
  });

  let held = null;
  const put = (row, before) => {
    if (before !== row && before !== row.nextElementSibling) list.insertBefore(row, before);
  };
  const follow = (event) => {
    const below = rows().find((row) => {
      const box = row.getBoundingClientRect();
      return row !== held.row && event.clientY < box.top + box.height / 2;
    });
    put(held.row, below ?? null);
    if (event.clientY < EDGE_PX) window.scrollBy(0, -SCROLL_PX);
    else if (event.clientY > window.innerHeight - EDGE_PX) window.scrollBy(0, SCROLL_PX);
  };
  const letGo = (keep) => {
    if (!held) return;
    const { row, before } = held;
    held = null;
    row.classList.remove("dragged");
    if (keep) {
      if (order() !== saved) moved(row);
    } else list.insertBefore(row, before);
  };

  list.addEventListener("pointerdown", (event) => {
    const grip = event.target.closest('[data-part="grip"]');
    if (!grip || event.button !== 0 || held) return;
    event.preventDefault();
    const row = grip.closest(".exhibit-row");
    held = { row, before: row.nextElementSibling, pointer: event.pointerId };
    row.classList.add("dragged");
  });
  const mine = (event) => held && event.pointerId === held.pointer;
  document.addEventListener("pointermove", (event) => { if (mine(event)) follow(event); });
  document.addEventListener("pointerup", (event) => { if (mine(event)) letGo(true); });
  document.addEventListener("pointercancel", (event) => { if (mine(event)) letGo(false); });
  document.addEventListener("keydown", (event) => {
    if (!held || pressed(event) !== "Escape") return;
    event.preventDefault();
    letGo(false);
  });
});
