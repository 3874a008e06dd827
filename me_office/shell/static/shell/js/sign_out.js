/* Signing out asks first what becomes of what is kept on this device and not saved.
 *
 * Others may use the device: the person stays and saves it, keeps it for themselves alone for some
 * days, or discards it. Nothing goes unasked.
 */
import { close, dayAndClock, flush, isClosed, ownUnsaved, remove } from "./kept.js";

function element(name, text, className = "") {
  const made = document.createElement(name);
  if (text) made.textContent = text;
  if (className) made.className = className;
  return made;
}

function lineOf({ kept, path }) {
  const line = element("li");
  const way = element("a", kept.title || path);
  way.href = path;
  const when = kept.waits ? "waits to be sent" : "not saved";
  const first = kept.first ? `: “${kept.first}”` : "";
  line.append(way, element("span", `, ${dayAndClock(kept.at)}, ${when}${first}`, "quiet"));
  return line;
}

function ask(form, unsaved) {
  const dialog = element("dialog", "", "sign-out-dialog");
  const many = `${unsaved.length} entries are not saved`;
  const title = element("h2", unsaved.length === 1 ? "One entry is not saved" : many, "section-title");
  title.id = "sign-out-title";
  dialog.setAttribute("aria-labelledby", title.id);
  const list = element("ul", "", "sign-out-list");
  list.append(...unsaved.map(lineOf));
  const acts = element("p", "", "acts");
  const choice = (text, className, act) => {
    const button = element("button", text, className);
    button.type = "button";
    button.addEventListener("click", act);
    acts.append(button);
  };
  const leave = () => {
    close();
    dialog.close();
    form.requestSubmit();
  };
  choice("Stay and save", "button", () => dialog.close());
  choice("Keep for me and sign out", "button-quiet", leave);
  choice("Discard and sign out", "button-quiet button-stop", () => {
    // What waits to be sent is kept as a draft, too.
    for (const { key, kept } of unsaved) [key, kept.draft ?? key].forEach(remove);
    leave();
  });
  const words = "Kept entries stay on this device for three days and are shown to you alone, when you sign in here again. On a device that others use, save or discard them.";
  dialog.append(title, element("p", "Open each to save it:"), list, element("p", words), acts);
  dialog.addEventListener("close", () => dialog.remove());
  document.body.append(dialog);
  dialog.showModal();
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (isClosed() || !form.hasAttribute("data-clears-device")) return;
  flush();
  const unsaved = ownUnsaved();
  if (!unsaved.length) return;
  event.preventDefault();
  event.stopImmediatePropagation();
  ask(form, unsaved);
}, true);
