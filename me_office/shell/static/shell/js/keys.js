/* Which key was pressed: the one place where that is read (`tests/shell/test_keys.py`).
 *
 *   import { arrow, command, onPage, pressed } from "../../shell/js/keys.js";
 *
 * pressed(event)   "Enter", "ArrowLeft", " ", or a character as a small letter; "" with Ctrl, Alt or
 *                  the command key. A character is "" where somebody types, in a dialog, and for
 *                  whoever switched single-key shortcuts off on the account page (WCAG 2.2, 2.1.4).
 * command(event)   "undo" (Ctrl+Z) or "redo" (Ctrl+Y, Ctrl+Shift+Z), "" where somebody types
 * arrow(event)     [across, down] of an arrow key, or null; `far` times as much with Shift
 * onPage(event)    whether the page itself has the focus, or `picture`: from a button, a field, a
 *                  link or a dialog an arrow is not the page's own
 * clicked(event, picture)   "b" or ".", by which a clicker makes the screen black: acts for everybody,
 *                  but only while the picture has the focus, which is the other way to meet 2.1.4
 *
 * In all tools: + − 0 zoom in, out, whole; Enter sets a point; Shift makes an arrow's step larger;
 * Ctrl+Z and Backspace take back; Escape leaves what is begun.
 */
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

export const charactersAct = document.documentElement.dataset.singleKeys !== "off";

export function isTyping(target) {
  return target.closest?.("input, textarea, select, [contenteditable]") != null;
}

/* Some keyboards have brackets and others under AltGr, which counts as Ctrl and Alt. */
function withCommand(event) {
  return (event.ctrlKey || event.metaKey || event.altKey) && !event.getModifierState?.("AltGraph");
}

export function pressed(event) {
  if (withCommand(event)) return "";
  const { key } = event;
  if (key.length !== 1 || key === " ") return key;
  if (!charactersAct || isTyping(event.target) || event.target.closest?.("dialog")) return "";
  return key === "=" ? "+" : key.toLowerCase();
}

export function clicked(event, picture) {
  if (withCommand(event) || event.target !== picture) return "";
  const key = event.key.toLowerCase();
  return key === "b" || key === "." ? key : "";
}

export function command(event) {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || isTyping(event.target)) return "";
  const key = event.key.toLowerCase();
  if (key === "y" || (key === "z" && event.shiftKey)) return "redo";
  return key === "z" ? "undo" : "";
}

export function arrow(event, far = 1) {
  const way = ARROWS[pressed(event)];
  return way ? way.map((part) => part * (event.shiftKey ? far : 1)) : null;
}

export function onPage({ target }, picture = null) {
  return target === document.body || target === document.documentElement || target.id === "work"
    || Boolean(picture && picture.contains(target) && !target.closest("a, button, input, select, textarea, summary"));
}
