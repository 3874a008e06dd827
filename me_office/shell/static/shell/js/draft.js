/* Keeps what is typed in a form on this device until the office has it.
 *
 * <form data-widget="draft"> is kept under the person, the path and the form's action or
 * data-draft-name. What was kept comes back after a reload, a lost connection or a new sign-in,
 * with the record's key and version, so that sending it again is the same record. A draft goes when
 * the server has answered a save with another page (a redirect, or one with <body data-saved>) or,
 * where only a part of the page is answered, with a success; on signing out, and after a week.
 * Passwords, codes and files are never kept.
 */
import { widget } from "./widgets.js";

const PREFIX = "draft|";
const KEPT_FOR_MS = 7 * 24 * 3600 * 1000;
const WAIT_MS = 400;
const NEVER = new Set(["csrfmiddlewaretoken", "next"]);
const person = document.body.dataset.person;
let signingOut = false;

function keyOf(form) {
  const name = form.dataset.draftName || form.getAttribute("action") || "";
  return `${PREFIX}${person}|${window.location.pathname}|${name}`;
}

function read(key) {
  try {
    return JSON.parse(window.localStorage.getItem(key));
  } catch {
    return null;
  }
}

function write(key, draft) {
  try {
    window.localStorage.setItem(key, JSON.stringify(draft));
    return true;
  } catch {
    return false;
  }
}

function allKeys() {
  return Object.keys(window.localStorage).filter((key) => key.startsWith(PREFIX));
}

function worthKeeping(input) {
  return input.name && !NEVER.has(input.name) && !["password", "file", "submit", "button"].includes(input.type);
}

function valuesOf(form) {
  const values = {};
  for (const input of form.elements) {
    if (!worthKeeping(input)) continue;
    const list = (values[input.name] ??= []);
    if (input.type === "checkbox" || input.type === "radio") {
      if (input.checked) list.push(input.value);
    } else if (input.type === "select-multiple") {
      list.push(...[...input.selectedOptions].map((option) => option.value));
    } else {
      list.push(input.value);
    }
  }
  return values;
}

function put(form, values) {
  const taken = {};
  for (const input of form.elements) {
    if (!worthKeeping(input) || !(input.name in values)) continue;
    const list = values[input.name];
    if (input.type === "checkbox" || input.type === "radio") {
      input.checked = list.includes(input.value);
    } else if (input.type === "select-multiple") {
      for (const option of input.options) option.selected = list.includes(option.value);
    } else {
      const place = (taken[input.name] = (taken[input.name] ?? -1) + 1);
      if (place < list.length) input.value = list[place];
    }
  }
  for (const element of form.querySelectorAll("[data-widget]")) {
    element.dispatchEvent(new CustomEvent("draft:restored"));
  }
}

function seenDiffers(form, values) {
  const now = valuesOf(form);
  const hidden = new Set([...form.elements].filter((input) => input.type === "hidden").map((input) => input.name));
  return Object.keys(values).some(
    (name) => !hidden.has(name) && name in now && JSON.stringify(values[name]) !== JSON.stringify(now[name]),
  );
}

/* A refusal is swapped in like an answer, and a session that ended answers with a way to sign in:
 * neither has saved anything. */
function isSaved(xhr) {
  if (!xhr || xhr.status < 200 || xhr.status >= 300) return false;
  return !(xhr.getResponseHeader("HX-Redirect") ?? "").includes("/sign-in");
}

function clock(moment) {
  return new Date(moment).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
}

function dayAndClock(moment) {
  const day = new Date(moment).toLocaleDateString("en-GB", { day: "numeric", month: "short" });
  return `${day}, ${clock(moment)}`;
}

/* A page after a redirect is the server's yes, unless it asks for a sign-in first; so is one that
 * says it was saved, because it is shown once and nobody is redirected to it. */
function settleSent() {
  const asksForSignIn = !person || document.body.hasAttribute("data-entrance");
  const navigation = performance.getEntriesByType("navigation")[0];
  const saved = document.body.hasAttribute("data-saved");
  const redirected = saved || (navigation?.type === "navigate" && navigation.redirectCount > 0);
  for (const key of allKeys()) {
    const draft = read(key);
    if (!draft || Date.now() - draft.at > KEPT_FOR_MS) {
      window.localStorage.removeItem(key);
    } else if (draft.sent && redirected && !asksForSignIn) {
      window.localStorage.removeItem(key);
    } else if (draft.sent) {
      write(key, { ...draft, sent: false });
    }
  }
}

function offer(form, key, draft, fresh) {
  const line = document.createElement("p");
  line.className = "note kept";
  line.setAttribute("role", "status");
  const words = document.createElement("span");
  words.textContent = `What you wrote on ${dayAndClock(draft.at)} was kept on this device. It has been restored and is not saved yet.`;
  const away = document.createElement("button");
  away.type = "button";
  away.className = "link-button";
  away.textContent = "Discard";
  away.addEventListener("click", () => {
    window.localStorage.removeItem(key);
    put(form, fresh);
    line.remove();
  });
  line.append(words, away);
  form.prepend(line);
}

// Before any form looks for its draft: a save may lead back to the same page.
settleSent();

widget("draft", (form) => {
  if (!person) return;
  const key = keyOf(form);
  const words = form.querySelector("[data-saving-words]");
  const say = (text) => {
    if (!words) return;
    words.textContent = text;
    words.removeAttribute("data-stale");
  };
  const hasErrors = form.querySelector('[data-widget~="error-list"]') !== null;
  const kept = read(key);
  if (kept && !hasErrors && seenDiffers(form, kept.values)) {
    const fresh = valuesOf(form);
    put(form, kept.values);
    offer(form, key, kept, fresh);
  }

  let waiting = 0;
  const keep = (sent) => {
    window.clearTimeout(waiting);
    waiting = 0;
    if (signingOut) return;
    const at = Date.now();
    const done = write(key, { values: valuesOf(form), at, sent });
    if (!sent) say(done ? `Kept on this device ${clock(at)}, not saved yet` : "Not saved yet");
  };
  const soon = () => {
    // What stood there was true of what was typed before. Its line stays: a line that goes while a
    // finger is on the button below moves the button away, and the touch is lost.
    words?.setAttribute("data-stale", "");
    window.clearTimeout(waiting);
    waiting = window.setTimeout(() => keep(false), WAIT_MS);
  };
  form.addEventListener("input", soon);
  form.addEventListener("change", soon);
  form.addEventListener("submit", () => keep(true));
  window.addEventListener("pagehide", () => {
    if (waiting && !("sending" in form.dataset)) keep(false);
  });
  form.addEventListener("connection:held", () => {
    keep(false);
    say("Kept on this device; will be sent");
  });
  form.addEventListener("htmx:afterRequest", (event) => {
    if (event.detail.elt !== form) return;
    if (isSaved(event.detail.xhr)) {
      window.clearTimeout(waiting);
      waiting = 0;
      window.localStorage.removeItem(key);
      say(`Saved ${clock(Date.now())}`);
    } else {
      keep(false);
      if (!event.detail.xhr?.status) say("No connection. Kept on this device; may not be saved in the office");
    }
  });
});

document.addEventListener("submit", (event) => {
  if (!event.target.hasAttribute("data-clears-device")) return;
  signingOut = true;
  for (const key of allKeys()) {
    if (key.startsWith(`${PREFIX}${person}|`)) window.localStorage.removeItem(key);
  }
});
