/* The page frame: keys, menus, the course bar, the thread's sheet, sending forms once. */
import { holdFocus } from "./focus.js";
import { isPost } from "./forms.js";
import { pressed } from "./keys.js";
import { sayUnreadable } from "./typed_time.js";
import { widget } from "./widgets.js";
import "./page_of.js";
import "./connection.js";
import "./copy.js";
import "./draft.js";
import "./key_list.js";
import "./theme.js";
import "./outcome.js";
import "./pictures.js";
import "./say.js";
import "./sign_out.js";
import "./uncertain_time.js";
import "./veil.js";

document.documentElement.dataset.scripts = "";

document.addEventListener("keydown", (event) => {
  const key = pressed(event);
  const search = key === "/" || key === "s" ? document.querySelector(`[data-key="${key}"]`) : null;
  if (!search?.checkVisibility()) return;
  event.preventDefault();
  search.focus();
  search.select();
});

widget("menu", (menu) => {
  const handle = menu.querySelector("summary");
  const close = () => {
    menu.open = false;
  };
  menu.addEventListener("keydown", (event) => {
    if (pressed(event) !== "Escape" || !menu.open) return;
    close();
    handle.focus();
  });
  holdFocus([handle, menu], () => menu.open, close);
});

widget("course", (course) => {
  const list = course.querySelector("ol");
  const current = course.querySelector("[aria-current]");
  if (!list || !current) return;
  const show = () => {
    const middle = current.offsetLeft - (list.clientWidth - current.offsetWidth) / 2;
    list.scrollLeft = Math.max(0, middle);
  };
  show();
  // A tablet that is turned has a bar of another width.
  new ResizeObserver(show).observe(list);
});

widget("sheet", (sheet) => {
  const handle = document.querySelector(`[aria-controls="${sheet.id}"]`);
  if (!handle) return;
  const show = (open) => {
    sheet.toggleAttribute("data-open", open);
    handle.setAttribute("aria-expanded", String(open));
  };
  const isOpen = () => sheet.hasAttribute("data-open");
  const turn = (event) => {
    event.preventDefault();
    show(!isOpen());
    (isOpen() ? sheet : handle).focus();
  };
  handle.setAttribute("role", "button");
  sheet.tabIndex = -1;
  show(false);
  handle.addEventListener("click", turn);
  handle.addEventListener("keydown", (event) => {
    if (pressed(event) === " ") turn(event);
  });
  for (const one of [sheet, handle]) {
    one.addEventListener("keydown", (event) => {
      if (pressed(event) !== "Escape" || !isOpen()) return;
      show(false);
      handle.focus();
    });
  }
  holdFocus([handle, sheet], isOpen, () => show(false));
});

/* The list of errors takes the focus; its links lead into the field, not only to it. */
widget("error-list", (list) => {
  list.focus({ preventScroll: false });
  list.addEventListener("click", (event) => {
    const link = event.target.closest('a[href^="#"]');
    const field = link && document.getElementById(link.hash.slice(1));
    const input = field?.querySelector("input:not([type=hidden]), select, textarea");
    if (!input) return;
    event.preventDefault();
    field.scrollIntoView({ block: "center" });
    input.focus({ preventScroll: true });
  });
});

/* The office's own messages stand beside the fields, so the browser's do not stop a form; only what
 * can't be read does. */
function takeOver(form) {
  if (isPost(form)) form.noValidate = true;
}

const SENT_AGAIN_AFTER_MS = 10_000;

function release(form) {
  delete form.dataset.sending;
  for (const button of form.querySelectorAll('[type="submit"][aria-disabled]')) {
    button.removeAttribute("aria-disabled");
  }
}

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!isPost(form)) return;
  if (sayUnreadable(form)) {
    event.preventDefault();
    event.stopImmediatePropagation();
    return;
  }
  if ("sending" in form.dataset) {
    event.preventDefault();
    event.stopImmediatePropagation();
    return;
  }
  if (event.defaultPrevented || form.hasAttribute("data-may-repeat")) return;
  form.dataset.sending = "";
  event.submitter?.setAttribute("aria-disabled", "true");
  window.setTimeout(() => release(form), SENT_AGAIN_AFTER_MS);
}, true);

document.addEventListener("htmx:afterRequest", (event) => {
  const form = event.detail.elt.closest?.("form");
  if (form) release(form);
});

window.addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll("form[data-sending]")) release(form);
});

for (const form of document.forms) takeOver(form);
document.addEventListener("htmx:load", (event) => {
  for (const form of event.detail.elt.querySelectorAll("form")) takeOver(form);
});
