/* A day, a time or a moment is typed as text and read back below, with the office's zone.
 *
 * <span data-widget="typed-time" data-zone="America/New_York"
 *       data-zone-words="New York time" data-label="Read at">
 *   <input data-typed="day"> <input data-typed="time"> <input type="hidden" data-typed="offset">
 *   <span class="typed-said" data-hint="MM/DD/YYYY HH:MM, ..."></span></span>
 * In the hour that comes twice, which of the two is chosen at once. What can't be read is said here,
 * and keeps its form from being sent (`sayUnreadable`); the office judges the same.
 * Without this module the office says it after it has read the form.
 */
import { clockFace, dayFace, dayWords, isEmpty, isoDay, readClock, readDay, readMoment, split } from "./as_typed.js";
import { offerChooser } from "./day_chooser.js";
import { offsetAt, offsetWords, readingsOf, zoneWord } from "./office_clock.js";
import { say } from "./say.js";
import { widget } from "./widgets.js";

const PASSES = ["first time", "second time"];
const SKIPPED = "The clocks were put forward past this time.";

/* What the inputs of a widget hold: { face } where it is a moment, { said } in words, or { words }. */
export function readTyped(root) {
  const text = (part) => root.querySelector(`[data-typed="${part}"]`)?.value;
  const zone = root.dataset.zone;
  const [day, clock] = [text("day"), text("time")];
  if (isEmpty(day ?? "") && isEmpty(clock ?? "")) return {};
  if (clock === undefined) {
    const read = readDay(day);
    return read.words ? read : { said: dayWords(read) };
  }
  if (day === undefined) {
    const read = readClock(clock);
    return read.words ? read : { said: `${clockFace(read)}, ${root.dataset.zoneWords}` };
  }
  const read = readMoment(day, clock);
  if (read.words) return read;
  const face = `${isoDay(read.day)}T${clockFace(read.clock)}`;
  const found = readingsOf(face, zone);
  if (!found.length) return { words: SKIPPED, part: "time" };
  const said = `${dayWords(read.day)}, ${clockFace(read.clock)}`;
  const chosen = found.length > 1 ? text("offset") : offsetWords(found[0]).iso;
  const offset = found.find((minutes) => offsetWords(minutes).iso === chosen);
  return { face, found, said: offset === undefined ? said : `${said} ${zoneWord(face, offset, zone)}`, chosen };
}

/* The moment of a form's field as the API takes it; empty where nothing was typed. */
export function typedMoment(form, name) {
  const root = form.elements[name]?.closest?.('[data-widget~="typed-time"]');
  const { face, found, chosen } = root ? readTyped(root) : {};
  if (!face) return "";
  return found.length > 1 && chosen ? `${face}${face.length < 17 ? ":00" : ""}${chosen}` : face;
}

/* Whether a form holds what can't be read: the first such field says so and takes the focus. Also a
 * half-typed number does, which would be sent as nothing. */
export function sayUnreadable(form) {
  // A field that is put away can't show what is wrong, and what it holds is not asked for.
  const wrong = [...form.elements].find(
    (input) => (input.validity?.badInput || input.validity?.customError) && !input.closest("[hidden]"),
  );
  wrong?.reportValidity();
  return Boolean(wrong);
}

widget("typed-time", (root) => {
  const inputs = [...root.querySelectorAll('[data-typed="day"], [data-typed="time"]')];
  const line = root.querySelector(".typed-said");
  const { zone, label } = root.dataset;
  let offset = root.querySelector('[data-typed="offset"]');
  const inputOf = (part) => inputs.find((one) => one.dataset.typed === part);

  function put(made) {
    made.name = offset.name;
    made.dataset.typed = "offset";
    if (offset.getAttribute("form")) made.setAttribute("form", offset.getAttribute("form"));
    offset.replaceWith(made);
    offset = made;
  }

  function offer(found) {
    if (found.length < 2) {
      if (offset.tagName !== "SELECT") return;
      const hidden = document.createElement("input");
      hidden.type = "hidden";
      hidden.value = "";
      put(hidden);
      return;
    }
    const chosen = offset.value;
    const select = document.createElement("select");
    select.setAttribute("aria-label", `${label}, first or second time`);
    select.add(new Option("choose one", ""));
    found.forEach((minutes, index) => {
      const { iso, words } = offsetWords(minutes);
      select.add(new Option(`${PASSES[index]}, ${words}`, iso, iso === chosen));
    });
    put(select);
    select.value = chosen;
    if (select.selectedIndex < 0) select.value = "";
  }

  /* While somebody types, what is not yet a time is no mistake: `strict` is for when they are done. */
  function show(strict) {
    const read = readTyped(root);
    for (const input of inputs) {
      const isWrong = Boolean(read.words) && input.dataset.typed === read.part;
      input.setCustomValidity(isWrong ? read.words : "");
      if (isWrong && strict) input.setAttribute("aria-invalid", "true");
      else if (!read.words) input.removeAttribute("aria-invalid");
    }
    const isError = Boolean(read.words) && strict;
    line.classList.toggle("typed-wrong", isError);
    line.textContent = isError ? read.words : read.said ?? line.dataset.hint;
    return read;
  }

  function lookAgain(strict) {
    const day = inputOf("day");
    const clock = inputOf("time");
    if (day && clock) {
      // A whole moment: pasted, or kept on this device when it was one field.
      const [first, second] = split(day.value);
      if (second) {
        const read = readDay(first);
        day.value = read.words ? first : dayFace(read);
        clock.value = second;
      }
    }
    if (offset) offer(readTyped(root).found ?? []);
    return show(strict);
  }

  function sayOtherClock() {
    if (!inputOf("time")) return;
    const typed = Date.parse(readTyped(root).face ?? "") || Date.now();
    root.querySelector(".typed-device")?.remove();
    if (offsetAt(typed, zone) === -new Date(typed).getTimezoneOffset()) return;
    const note = document.createElement("span");
    note.className = "help typed-device";
    note.id = `${line.id}_device`;
    note.textContent = "This device keeps another time.";
    root.append(note);
    for (const input of inputs) {
      const ids = (input.getAttribute("aria-describedby") || "").split(" ");
      input.setAttribute("aria-describedby", [...new Set([...ids, note.id])].join(" ").trim());
    }
  }

  root.addEventListener("input", () => show(false));
  root.addEventListener("change", (event) => {
    const read = lookAgain(false);
    const isHere = read.words && !read.isMissing && event.target.dataset.typed === read.part;
    if (isHere) show(true);
    if (isHere || read.said) say(line.textContent, line.id);
    sayOtherClock();
  });
  root.addEventListener("focusout", (event) => {
    if (!root.contains(event.relatedTarget) && !document.querySelector("dialog:modal")) show(true);
  });
  root.addEventListener("draft:restored", () => lookAgain(false));
  for (const input of inputs) {
    input.addEventListener("invalid", (event) => {
      if (!input.validity.customError) return;
      event.preventDefault();
      show(true);
      const folded = input.closest("details:not([open])");
      if (folded) folded.open = true;
      input.focus();
      say(line.textContent, line.id);
    });
  }
  if (inputOf("day")) offerChooser(root, inputOf("day"));
  lookAgain(false);
  sayOtherClock();
});
