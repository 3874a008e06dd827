/* Keeps what is typed in a form on this device until the office has it.
 *
 * <form data-widget="draft"> is kept under its own request key (kept.js), with the record's key and
 * version, so that sending it again is the same record. When the form is opened again, this tab's
 * own draft is put back, unless somebody saved the record since; every other one is offered, with
 * when it was typed. Passwords, codes and files are never kept.
 *
 * data-draft-name tells forms of one page apart that go to one address; data-draft-page names the
 * page of a form that is refused under another address; data-unsaved says that the page came back
 * with what was typed, and nothing of it is saved.
 */
import {
  NOT_TYPED, beforeAsking, clock, dayAndClock, draftKeyOf, isClosed, isSaved, keysUnder, pageOf, placeOf,
  read, remove, requestKeyOf, tab, untilWords, write,
} from "./kept.js";
import { person } from "./page_of.js";
import { say as sayAloud } from "./say.js";
import { changeStill } from "./still.js";
import { widget } from "./widgets.js";

const WAIT_MS = 400;
const SHOWN_LETTERS = 60;
// All but the first two bind a form to what was shown just then, and are never put into another.
const NEVER = new Set([
  "csrfmiddlewaretoken", "next", "acknowledged", "draft_id", "sha256", "shown", "versions",
]);

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

/* What the office sent, whatever was typed before this began: a form is there before its scripts
 * are, and a browser gives back what was typed before a reload. A script that writes into a hidden
 * field leaves in data-sent what stood there: a browser tells that of the others only. */
function asSent(form) {
  const blank = document.createElement("form");
  for (const input of form.elements) if (worthKeeping(input)) blank.append(input.cloneNode(true));
  blank.reset();
  for (const input of blank.elements) if ("sent" in input.dataset) input.value = input.dataset.sent;
  return valuesOf(blank);
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
  for (const element of [form, ...form.querySelectorAll("[data-widget]")]) {
    element.dispatchEvent(new CustomEvent("draft:restored"));
  }
}

/** What was typed or drawn: the names whose values differ, hidden ones that hold marks, too. */
function typed(values, fresh) {
  const isEmpty = (list) => list.every((each) => each === "");
  return Object.keys(values).filter((name) => {
    if (NOT_TYPED.has(name)) return false;
    if (!(name in fresh)) return !isEmpty(values[name]);
    return JSON.stringify(values[name]) !== JSON.stringify(fresh[name]);
  });
}

function sameVersion(values, fresh) {
  return JSON.stringify(values.version) === JSON.stringify(fresh.version);
}

/** The first words that somebody typed, to know one draft from another. */
function firstWords(values, fresh) {
  const words = typed(values, fresh).flatMap((name) => values[name]);
  const first = words.find((each) => /\p{L}/u.test(each) && !/^[[{]/.test(each)) ?? "";
  return first.length > SHOWN_LETTERS ? `${first.slice(0, SHOWN_LETTERS)}…` : first;
}

function button(text, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "link-button";
  made.textContent = text;
  made.addEventListener("click", act);
  return made;
}

function lineOf(form, text, ...buttons) {
  const line = document.createElement("p");
  line.className = "note kept";
  const words = document.createElement("span");
  words.textContent = text;
  line.append(words, ...buttons);
  form.prepend(line);
  const folded = form.closest("details:not([open])");
  if (folded) folded.open = true;
  return line;
}

widget("draft", (form) => {
  if (!person) return;
  const words = form.querySelector("[data-saving-words]");
  const say = (text) => {
    if (!words) return;
    changeStill([words.parentElement], () => {
      words.textContent = text;
      words.removeAttribute("data-stale");
    });
  };
  const cameBack = "unsaved" in form.dataset || form.querySelector('[data-widget~="error-list"]') !== null;
  const fresh = asSent(form);
  let waiting = 0;

  const keep = () => {
    window.clearTimeout(waiting);
    waiting = 0;
    if (isClosed() || isSaved(requestKeyOf(form))) return;
    const values = valuesOf(form);
    if (!cameBack && !typed(values, fresh).length) {
      remove(draftKeyOf(form));
      return;
    }
    const at = Date.now();
    const about = { title: document.title, page: pageOf(form), first: firstWords(values, fresh) };
    const done = write(draftKeyOf(form), { values, at, tab, ...about });
    say(done ? `Kept on this device ${clock(at)}, not saved yet` : "Not saved yet");
  };

  const restore = (key, kept) => {
    if (waiting) keep();
    const before = draftKeyOf(form);
    if (before !== key && read(before)) offer(before, read(before));
    put(form, kept.values);
    write(key, { ...kept, tab });
    const text = `What you wrote on ${dayAndClock(kept.at)} was kept on this device. It has been restored and is not saved yet.`;
    const line = lineOf(form, text, button("Discard", () => {
      remove(key);
      put(form, fresh);
      line.remove();
    }));
    sayAloud(text, "kept");
  };

  const offer = (key, kept) => {
    const first = firstWords(kept.values, fresh);
    const about = first && ` (“${first}”)`;
    const text = `You wrote something else here on ${dayAndClock(kept.at)}${about} that is not saved. It is kept on this device until ${untilWords(kept.at)}.`;
    const line = lineOf(
      form,
      text,
      button("Restore", () => {
        line.remove();
        restore(key, read(key) ?? kept);
      }),
      button("Discard", () => {
        remove(key);
        line.remove();
      }),
    );
    sayAloud(text, key);
  };

  // A refusal that showed both texts goes on under another key.
  const former = form.querySelector("[data-former-key]")?.dataset.formerKey;
  if (former) {
    remove(placeOf(form) + former);
    keep();
  }
  const others = keysUnder(placeOf(form))
    .filter((key) => key !== draftKeyOf(form))
    .map((key) => [key, read(key)])
    .filter(([, kept]) => kept && typed(kept.values, fresh).length)
    .sort(([, one], [, other]) => one.at - other.at);
  // What is being typed already is not written over: another draft is offered beside it.
  const now = valuesOf(form);
  const already = typed(now, fresh);
  const goesOn = ({ values }) => already.every((name) => JSON.stringify(values[name]) === JSON.stringify(now[name]));
  const isOwn = (kept) => kept.tab === tab && sameVersion(kept.values, fresh) && goesOn(kept);
  const own = cameBack ? -1 : others.findLastIndex(([, kept]) => isOwn(kept));
  others.forEach(([key, kept], place) => {
    if (place !== own) offer(key, kept);
  });
  if (own >= 0) restore(...others[own]);
  else if (already.length) keep();

  const soon = () => {
    // What stood there was true of what was typed before. Its line stays: a line that goes while a
    // finger is on the button below moves the button away, and the touch is lost.
    words?.setAttribute("data-stale", "");
    window.clearTimeout(waiting);
    waiting = window.setTimeout(keep, WAIT_MS);
  };
  form.addEventListener("input", soon);
  form.addEventListener("change", soon);
  form.addEventListener("submit", keep);
  const keepNow = () => {
    if (waiting) keep();
  };
  beforeAsking(keepNow);
  window.addEventListener("pagehide", keepNow);
  form.addEventListener("connection:held", () => {
    keep();
    say("Kept on this device; will be sent");
  });
  form.addEventListener("htmx:afterRequest", (event) => {
    if (event.detail.elt !== form) return;
    if (isSaved(requestKeyOf(form))) {
      window.clearTimeout(waiting);
      waiting = 0;
      remove(draftKeyOf(form));
      say(`Saved ${clock(Date.now())}`);
    } else {
      keep();
      const next = "outbox" in form.dataset ? "will be sent" : "may not be saved in the office";
      if (!event.detail.xhr?.status) say(`No connection. Kept on this device; ${next}`);
    }
  });
});
