/* Where the focus is after a page, or a part of one, is new: at the thing that was worked on, never
 * back at the page's beginning (WCAG 2.2, 2.4.3). In this order:
 *
 *   what the address names (#exhibit-...), the list of errors, a field that asks for it;
 *   after sending: the first field of the same form, where it asks for the next one, or its button;
 *   the link from which the person left this page for the form, or for the page left by Cancel;
 *   where that is gone, as after voiding, the heading above it, or that of the page.
 *
 * A part that htmx brings in place of the focus gives it to what has the same id, name or address in
 * it, else to its heading. A part with rules of its own, as the chart has, puts the focus first.
 *
 *   import { holdFocus } from "./focus.js";
 *   holdFocus([handle, sheet], () => isOpen, close);   // the tab key stays within; a press outside closes
 */
import { goesTo, isPost } from "./forms.js";
import { pressed } from "./keys.js";

const SENT = "office.sent";
const LEFT = "office.left";
const SENT_LATELY_MS = 60_000;
const CONTROLS = 'a[href], button:not(:disabled), summary, select, textarea, input:not([type="hidden"], :disabled), [tabindex="0"]';

const work = () => document.getElementById("work");
const path = (address) => new URL(address, document.baseURI).pathname;
const seen = (element) => element.checkVisibility({ visibilityProperty: true });
const headings = (root) => [...root.querySelectorAll("h1, h2, h3")].filter(seen);

function read(name) {
  try {
    return JSON.parse(window.sessionStorage.getItem(name)) ?? {};
  } catch {
    return {};
  }
}

function keep(name, what) {
  try {
    window.sessionStorage.setItem(name, JSON.stringify(what));
  } catch {
    // Without a store the focus goes to the page's heading.
  }
}

/** Give the focus to a control, or to what takes none by itself: a row, a heading, a part. */
export function give(element) {
  if (!element.matches(CONTROLS) && !element.hasAttribute("tabindex")) {
    element.tabIndex = -1;
    element.dataset.reached = "";
  }
  element.focus();
}

function headingAbove(element) {
  const above = headings(work()).filter(
    (one) => one.compareDocumentPosition(element) & Node.DOCUMENT_POSITION_FOLLOWING,
  );
  return above.length - 1;
}

document.addEventListener("click", (event) => {
  const link = event.target.closest?.("#work a[href]");
  if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
  const left = { ...read(LEFT), [window.location.pathname]: { href: link.href, heading: headingAbove(link) } };
  keep(LEFT, Object.fromEntries(Object.entries(left).slice(-20)));
});

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || !isPost(form) || form.hasAttribute("hx-post")) return;
  const button = event.submitter;
  keep(SENT, { page: window.location.pathname, action: goesTo(form), value: button?.value ?? "", heading: headingAbove(form), at: Date.now() });
});

function sameForm(sent) {
  const form = [...document.forms].find((one) => isPost(one) && goesTo(one) === sent.action && seen(one));
  const fields = [...(form?.elements ?? [])].filter((one) => one.type !== "hidden" && seen(one));
  const isField = (one) => !one.matches("button, fieldset");
  return fields.find(isField) ?? fields.find((one) => one.value === sent.value) ?? fields[0];
}

function arrive() {
  const sent = read(SENT);
  window.sessionStorage.removeItem(SENT);
  const isAfterSending = Date.now() - (sent.at ?? 0) < SENT_LATELY_MS;
  if (!work() || document.querySelector('[data-widget~="error-list"]')) return;
  if (document.activeElement !== document.body) return;
  const named = document.getElementById(decodeURIComponent(window.location.hash.slice(1)));
  if (named) {
    give(named);
    return;
  }
  const here = window.location.pathname;
  const left = read(LEFT)[here];
  const link = left && [...work().querySelectorAll("a[href]")].find((one) => one.href === left.href && seen(one));
  if (isAfterSending) {
    const again = sent.page === here ? sameForm(sent) : null;
    const place = again ?? link ?? headings(work())[(sent.page === here ? sent : left)?.heading ?? 0];
    give(place ?? work());
  } else if (link && document.referrer && path(link.href) === path(document.referrer)) {
    give(link);
  }
}

try {
  arrive();
} catch {
  // A page without its focus is still a page.
}

/* Parts that htmx brings. */
let held = null;

document.addEventListener("htmx:beforeSwap", (event) => {
  const active = document.activeElement;
  held = active !== document.body && event.detail.target?.contains(active)
    ? { id: active.id, name: active.name, href: active.href, words: active.textContent, tag: active.localName }
    : null;
});

document.addEventListener("htmx:afterSettle", (event) => {
  if (!held || document.activeElement !== document.body) return;
  const was = held;
  held = null;
  const part = event.detail.elt;
  const same = [...part.querySelectorAll(was.tag)].find((one) => seen(one)
    && (was.id ? one.id === was.id : one.name === was.name && one.href === was.href && one.textContent === was.words));
  const place = same ?? headings(part)[0] ?? [...part.querySelectorAll(CONTROLS)].find(seen);
  give(place ?? part.closest("section, main") ?? part);
});

/** Keep the tab key within what is open, and close it by a press outside; the focus goes back. */
export function holdFocus(places, isOpen, close) {
  const [handle] = places;
  const isWithin = (target) => places.some((one) => one.contains(target));
  document.addEventListener("click", (event) => {
    if (!isOpen() || isWithin(event.target)) return;
    const takes = event.target.closest?.(CONTROLS);
    close();
    if (!takes) handle.focus();
  });
  document.addEventListener("keydown", (event) => {
    if (pressed(event) !== "Tab" || !isOpen() || !isWithin(document.activeElement)) return;
    const within = [...document.querySelectorAll(CONTROLS)].filter(seen);
    const stops = [handle, ...within.filter((one) => one !== handle && isWithin(one))];
    const at = stops.indexOf(document.activeElement);
    const next = event.shiftKey ? at <= 0 && stops.at(-1) : at === stops.length - 1 && stops[0];
    if (!next) return;
    event.preventDefault();
    next.focus();
  });
}
