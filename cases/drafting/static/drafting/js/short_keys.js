/* Short keys in every text of a case's page.
 *
 * "/nohem " becomes its text. Two slashes, or the button that a text shows while it is worked on,
 * open the list. A blank of the text ([ ]) is selected; Tab goes to the next one, Shift+Tab back,
 * and leaves the text after the last. Escape ends that. The text comes in as if it were typed, so
 * that Ctrl+Z takes it back and the draft is kept. Texts are read when a field is first entered.
 */
import { pressed } from "../../shell/js/keys.js";
import { ask } from "../../shell/js/page_of.js";
import { say } from "../../shell/js/say.js";
import { changeStill } from "../../shell/js/still.js";

const BLANK = "[ ]";
const TYPED = /(?:^|[\s(“"])\/([a-z0-9][a-z0-9-]{1,23}) $/i;
const address = document.querySelector('script[src*="drafting/js/short_keys"]')?.dataset.address;
const filling = new WeakSet();
let texts = null;

const isText = (target) => target instanceof HTMLTextAreaElement && !target.readOnly && !target.disabled;

async function read() {
  texts ??= ask(address)
    .then((answer) => (answer.ok ? answer.json() : { texts: {} }))
    .then((said) => new Map(Object.entries(said.texts)))
    .catch(() => {
      texts = null;
      return new Map();
    });
  return texts;
}

/** Put a text in place of what stands between two places, as if it were typed. */
function write(area, start, end, text) {
  area.focus();
  area.setSelectionRange(start, end);
  if (!document.execCommand("insertText", false, text)) {
    area.setRangeText(text, start, end, "end");
    area.dispatchEvent(new InputEvent("input", { bubbles: true, inputType: "insertReplacementText" }));
  }
}

function select(area, at) {
  area.setSelectionRange(at, at + BLANK.length);
}

function put(area, start, end, key, text) {
  write(area, start, end, text);
  const first = text.includes(BLANK) ? area.value.indexOf(BLANK, start) : -1;
  if (first >= 0) {
    filling.add(area);
    select(area, first);
    say(`The text of ${key}. Tab goes to the next blank.`, "short-keys");
  } else {
    say(`The text of ${key}.`, "short-keys");
  }
}

document.addEventListener("input", async (event) => {
  const area = event.target;
  if (!address || !isText(area) || !(event instanceof InputEvent) || event.isComposing) return;
  const caret = area.selectionEnd;
  const before = area.value.slice(0, caret);
  if (event.data === "/" && /(?:^|\s)\/\/$/.test(before)) {
    const known = await read();
    if (area.selectionEnd === caret && area.value.slice(0, caret) === before) list(area, known, caret - 2, caret);
    return;
  }
  if (event.data !== " ") return;
  const key = TYPED.exec(before)?.[1]?.toLowerCase();
  if (!key) return;
  const text = (await read()).get(key);
  // Whoever typed on meanwhile keeps what they typed.
  if (text === undefined || area.selectionEnd !== caret || area.value.slice(0, caret) !== before) return;
  put(area, caret - key.length - 2, caret, `/${key}`, text.endsWith("\n") || text.endsWith(BLANK) ? text : `${text} `);
});

document.addEventListener("keydown", (event) => {
  const area = event.target;
  if (!filling.has(area)) return;
  const key = pressed(event);
  if (key === "Escape") filling.delete(area);
  if (key !== "Tab") return;
  const at = event.shiftKey
    ? area.value.lastIndexOf(BLANK, Math.max(area.selectionStart - 1, 0))
    : area.value.indexOf(BLANK, area.selectionEnd);
  const isThere = at >= 0 && (event.shiftKey ? at < area.selectionStart : true);
  if (!isThere) {
    filling.delete(area);
    return;
  }
  event.preventDefault();
  select(area, at);
});

function option(key, text, choose) {
  const row = document.createElement("li");
  const button = document.createElement("button");
  button.type = "button";
  const code = document.createElement("code");
  code.textContent = `/${key}`;
  const words = document.createElement("span");
  words.textContent = text;
  button.append(code, " ", words);
  button.addEventListener("click", choose);
  row.append(button);
  return row;
}

/** Open the list over a text; what is chosen takes the place of what stands between the two. */
function list(area, known, start, end) {
  const dialog = document.createElement("dialog");
  dialog.className = "short-keys";
  dialog.setAttribute("aria-label", "Insert the text of a short key");
  const label = document.createElement("label");
  label.textContent = "Find a short key or a word of its text";
  const search = document.createElement("input");
  search.type = "search";
  label.append(search);
  const rows = document.createElement("ul");
  const none = document.createElement("p");
  none.className = "quiet";
  none.textContent = known.size ? "No short key has these words." : "There are no short keys yet.";
  const kept = document.createElement("a");
  kept.href = "/drafting/";
  kept.textContent = "Make and change short keys";
  const close = document.createElement("button");
  close.type = "button";
  close.className = "button-quiet";
  close.textContent = "Close the list";
  close.addEventListener("click", () => dialog.close());
  const show = () => {
    const wanted = search.value.trim().toLowerCase();
    const found = [...known].filter(([key, text]) => `/${key} ${text}`.toLowerCase().includes(wanted));
    rows.replaceChildren(...found.map(([key, text]) => option(key, text, () => {
      dialog.close("chosen");
      put(area, start, end, `/${key}`, text);
    })));
    none.hidden = found.length > 0;
  };
  search.addEventListener("input", show);
  search.addEventListener("keydown", (event) => {
    if (pressed(event) !== "Enter") return;
    event.preventDefault();
    rows.querySelector("button")?.click();
  });
  dialog.addEventListener("close", () => {
    dialog.remove();
    if (dialog.returnValue !== "chosen") area.focus();
  });
  dialog.append(label, rows, none, kept, close);
  document.body.append(dialog);
  show();
  dialog.showModal();
  search.focus();
}

/* One button, at the text that is worked on: for a hand at the mouse or a finger. */
const opener = document.createElement("button");
opener.type = "button";
opener.className = "short-keys-open";
// Without the label of its text, by which somebody looks for the text itself; only one is there.
opener.textContent = "Insert a text";
opener.tabIndex = -1;
opener.addEventListener("pointerdown", (event) => event.preventDefault());
opener.addEventListener("click", async () => {
  const area = opener.previousElementSibling;
  const { selectionStart, selectionEnd } = area;
  list(area, await read(), selectionStart, selectionEnd);
});

document.addEventListener("focusin", ({ target }) => {
  if (!address || !isText(target)) return;
  void read();
  // It leaves another text: this one would go up under the pointer that has just come down on it.
  changeStill([opener], () => target.after(opener));
});
