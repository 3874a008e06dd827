/* The witness's window: what is recorded of the exhibit that the court sees, and what comes next. */
import { arrow, onPage, pressed } from "../../shell/js/keys.js";
import { say } from "../../shell/js/say.js";
import { widget } from "../../shell/js/widgets.js";
import { InStep } from "./in_step.js";

const KEYS = { n: "next", PageDown: "next", p: "previous", PageUp: "previous", h: "hide" };
const TICK_MS = 1000;

widget("court-notes", (room) => {
  const part = (name) => room.querySelector(`[data-part="${name}"]`);
  const exhibits = [...room.querySelectorAll('[data-part="exhibit"]')];
  const coming = [...room.querySelectorAll('[data-part="coming"]')];
  const state = { index: 0, screen: null };
  const ahead = Number(room.dataset.now) - Date.now();
  const face = new Intl.DateTimeFormat("en-GB", { hour: "2-digit", minute: "2-digit", second: "2-digit", timeZone: room.dataset.zone });
  const tick = () => { part("clock").textContent = face.format(Date.now() + ahead); };

  const numberOf = (key) => exhibits.find((one) => one.dataset.exhibit === key)?.dataset.number ?? "";
  const seen = () => {
    const { screen } = state;
    if (!screen) return "No courtroom screen is open on this computer.";
    if (screen.hidden) return "The court sees nothing: the screen is black.";
    const beside = screen.beside ? ` beside ${numberOf(screen.beside)}` : "";
    return `The court sees exhibit ${numberOf(screen.exhibit)}${beside}.`;
  };

  const draw = () => {
    exhibits.forEach((one, at) => { one.hidden = at !== state.index; });
    coming.forEach((one, at) => { one.hidden = at !== state.index; });
    part("seen").textContent = seen();
    part("seen").toggleAttribute("data-shown", Boolean(state.screen && !state.screen.hidden));
    part("loaded").textContent = state.screen?.loaded ?? "";
    for (const button of room.querySelectorAll("[data-act]")) {
      const off = {
        previous: state.index === 0,
        next: state.index >= exhibits.length - 1,
        hide: !state.screen,
      }[button.dataset.act];
      button.setAttribute("aria-disabled", String(Boolean(off)));
    }
    part("hide").textContent = state.screen && !state.screen.hidden ? "Hide from the court" : "Show to the court";
  };

  const tell = () => say(`Exhibit ${exhibits[state.index].dataset.number}, ${state.index + 1} of ${exhibits.length}. ${seen()}`, "exhibit");

  const step = new InStep(room, (message) => {
    const index = exhibits.findIndex((one) => one.dataset.exhibit === message.exhibit);
    if (message.kind === "where") step.tell("there", { exhibit: exhibits[state.index]?.dataset.exhibit });
    else if (message.kind === "gone") state.screen = null;
    else if (message.kind === "here") {
      const before = `${state.index} ${seen()}`;
      state.screen = message;
      if (index >= 0) state.index = index;
      draw();
      if (before !== `${state.index} ${seen()}`) tell();
      return;
    } else return;
    draw();
  });

  const go = (index) => {
    if (index < 0 || index >= exhibits.length || index === state.index) return;
    state.index = index;
    draw();
    if (state.screen) step.tell("go", { exhibit: exhibits[index].dataset.exhibit });
    else tell();
  };
  const acts = {
    next: () => go(state.index + 1),
    previous: () => go(state.index - 1),
    hide: () => state.screen && step.tell("act", { name: "hide" }),
  };

  room.addEventListener("click", (event) => {
    const button = event.target.closest("[data-act]");
    if (button && button.getAttribute("aria-disabled") !== "true") acts[button.dataset.act]();
  });
  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || document.querySelector("dialog[open]")) return;
    const [across] = (onPage(event, room) && arrow(event)) || [0];
    const name = across > 0 ? "next" : across < 0 ? "previous" : KEYS[pressed(event)];
    if (!name) return;
    event.preventDefault();
    acts[name]();
  });

  window.setInterval(tick, TICK_MS);
  tick();
  draw();
  step.tell("where");
});
