/* A calendar to choose a day from, for a field that can as well be typed into (typed_time.js).
 *
 * A modal dialog with a month as a grid, by the date picker dialog of the ARIA Authoring Practices:
 * arrows go by day and week, Home and End to the ends of the week, Page Up and Page Down by month,
 * with Shift by year; Escape leaves, and the focus goes back to the button. Today is the office's.
 */
import { dayAway, dayFace, dayWords, daysIn, isoDay, monthName, monthsAway, readDay, split, weekdayOf } from "./as_typed.js";
import { pressed } from "./keys.js";
import { todayIn } from "./office_clock.js";
import { say } from "./say.js";

const WEEKDAYS = ["Sunday", "Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday"];
const TURNS = [
  ["«", "Previous year", -12],
  ["‹", "Previous month", -1],
  ["›", "Next month", 1],
  ["»", "Next year", 12],
];
const MOST_WEEKS = 6;
const GAP_PX = 8;

function element(name, attributes = {}, ...inner) {
  const made = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  made.append(...inner);
  return made;
}

/* Where a key leads from a day; nothing for any other key. */
function led(event, day) {
  const months = event.shiftKey ? 12 : 1;
  switch (pressed(event)) {
    case "ArrowLeft": return dayAway(day, -1);
    case "ArrowRight": return dayAway(day, 1);
    case "ArrowUp": return dayAway(day, -7);
    case "ArrowDown": return dayAway(day, 7);
    case "Home": return dayAway(day, -weekdayOf(day));
    case "End": return dayAway(day, 6 - weekdayOf(day));
    case "PageUp": return monthsAway(day, -months);
    case "PageDown": return monthsAway(day, months);
    default: return null;
  }
}

class Chooser {
  constructor() {
    this.field = element("p", { class: "chooser-field" });
    this.month = element("h2", { class: "chooser-month", id: "chooser-month" });
    const [yearBack, back, forth, yearForth] = TURNS.map(([sign, words, months]) => {
      const button = element("button", { type: "button", class: "chooser-turn", "aria-label": words, title: words }, sign);
      button.addEventListener("click", () => this.turn(months));
      return button;
    });
    this.weeks = element("tbody");
    const heads = WEEKDAYS.map((name) => element("th", { scope: "col", abbr: name }, name.slice(0, 2)));
    this.grid = element(
      "table",
      { role: "grid", "aria-labelledby": "chooser-month", "aria-describedby": "chooser-keys" },
      element("thead", {}, element("tr", {}, ...heads)),
      this.weeks,
    );
    const today = element("button", { type: "button", class: "button-quiet" }, "Today");
    const away = element("button", { type: "button", class: "button-quiet" }, "Cancel");
    const keys = "Arrow keys: day and week. Page Up, Page Down: month; with Shift: year.";
    this.inner = element(
      "div",
      { class: "chooser-inner" },
      this.field,
      element("div", { class: "chooser-head" }, yearBack, back, this.month, forth, yearForth),
      this.grid,
      element("p", { class: "help chooser-keys", id: "chooser-keys" }, keys),
      element("div", { class: "acts" }, today, away),
    );
    this.dialog = element("dialog", { class: "day-chooser" }, this.inner);
    today.addEventListener("click", () => this.take(this.today));
    away.addEventListener("click", () => this.dialog.close());
    this.grid.addEventListener("keydown", (event) => this.press(event));
    this.dialog.addEventListener("click", (event) => {
      if (event.target === this.dialog) this.dialog.close();
    });
    document.body.append(this.dialog);
  }

  open(button, input, label, zone) {
    Object.assign(this, { button, input });
    const typed = readDay(split(input.value)[0]);
    this.today = todayIn(zone);
    this.chosen = typed.words ? null : typed;
    this.field.textContent = label;
    this.dialog.setAttribute("aria-label", `Choose date, ${label}`);
    this.show(this.chosen ?? this.today);
    this.dialog.showModal();
    this.place();
    this.focus();
  }

  /* By the field where there is room, otherwise in the middle. */
  place() {
    const { style, offsetWidth: width, offsetHeight: height } = this.dialog;
    for (const side of ["margin", "left", "top"]) style[side] = "";
    if (window.innerWidth < 600) return;
    const at = this.button.getBoundingClientRect();
    const below = at.bottom + GAP_PX / 2;
    const top = below + height + GAP_PX < window.innerHeight ? below : at.top - height - GAP_PX / 2;
    if (top < GAP_PX) return;
    style.margin = "0";
    style.top = `${top}px`;
    style.left = `${Math.max(GAP_PX, Math.min(at.left, window.innerWidth - width - GAP_PX))}px`;
  }

  show(day) {
    this.at = day;
    this.month.textContent = `${monthName(day.month)} ${day.year}`;
    const first = weekdayOf({ ...day, day: 1 });
    const last = daysIn(day.year, day.month);
    const weeks = Array.from({ length: MOST_WEEKS }, (_, week) =>
      element("tr", {}, ...WEEKDAYS.map((_name, weekday) => this.cell(week * 7 + weekday - first + 1, last))),
    );
    this.weeks.replaceChildren(...weeks);
  }

  cell(number, last) {
    const cell = element("td", { role: "gridcell" });
    if (number < 1 || number > last) return cell;
    const day = { ...this.at, day: number };
    const is = (other) => other !== null && isoDay(day) === isoDay(other);
    const button = element("button", { type: "button", class: "chooser-day", tabindex: is(this.at) ? "0" : "-1", "aria-label": dayWords(day) }, String(number));
    if (is(this.today)) button.setAttribute("aria-current", "date");
    if (is(this.chosen)) cell.setAttribute("aria-selected", "true");
    button.addEventListener("click", () => this.take(day));
    cell.append(button);
    return cell;
  }

  focus() {
    this.weeks.querySelector('[tabindex="0"]').focus();
  }

  press(event) {
    const day = led(event, this.at);
    if (!day) return;
    event.preventDefault();
    if (readDay(isoDay(day)).words) return;
    this.show(day);
    this.focus();
  }

  turn(months) {
    const day = monthsAway(this.at, months);
    if (readDay(isoDay(day)).words) return;
    this.show(day);
    say(this.month.textContent, "chooser");
  }

  take(day) {
    this.dialog.close();
    this.input.value = dayFace(day);
    for (const name of ["input", "change"]) this.input.dispatchEvent(new Event(name, { bubbles: true }));
  }
}

let chooser = null;

export function offerChooser(root, input) {
  const { label, zone } = root.dataset;
  const words = `Choose date, ${label}`;
  const button = element("button", { type: "button", class: "chooser-open", "aria-haspopup": "dialog", "aria-label": words, title: "Choose date" });
  button.disabled = input.disabled || input.readOnly;
  button.addEventListener("click", () => {
    chooser ??= new Chooser();
    chooser.open(button, input, label, zone);
  });
  input.after(button);
}
