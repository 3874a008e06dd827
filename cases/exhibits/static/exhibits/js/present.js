/* The courtroom screen: every act by a button, a key and a finger, and nothing else to be seen. */
import "../../shell/js/key_list.js";
import { arrow, onPage, pressed } from "../../shell/js/keys.js";
import { say } from "../../shell/js/say.js";
import { widget } from "../../shell/js/widgets.js";
import { Controls, watchFingers } from "./controls.js";

const ZOOMS = [1, 2, 4];
const STEP = 0.02;
const FAR = 4;
// From the picture only: on a button, Enter and the space bar press it.
const PRESSES = { " ": "next", Enter: "next" };
const KEYS = {
  n: "next", PageDown: "next", p: "previous", PageUp: "previous", Backspace: "previous",
  Home: "first", End: "last", h: "hide", b: "hide", ".": "hide", z: "cycle", "+": "in", "-": "out", 0: "fit",
  m: "lines", a: "pointer", l: "list", f: "screen",
};
// What a hidden screen still does: a stray press of a clicker must not turn the exhibits over.
const WHILE_HIDDEN = new Set(["hide", "list", "screen", "end"]);

const within = (value) => Math.min(1, Math.max(0, value));

widget("courtroom", (room) => {
  const part = (name) => document.querySelector(`[data-part="${name}"]`);
  const exhibits = [...room.querySelectorAll('[data-part="exhibit"]')];
  const pointer = part("pointer");
  const nothing = part("nothing");
  const list = part("list");
  const bar = part("bar");
  const state = { index: 0, zoom: 0, across: 0.5, down: 0.5, lines: false };

  const current = () => exhibits[state.index];
  const isHidden = () => !nothing.hidden;
  const isSteering = () => !pointer.hidden || state.zoom > 0;
  const place = () => `${state.index + 1} of ${exhibits.length}`;
  const spoken = (exhibit) =>
    [...exhibit.querySelectorAll('[data-part="spoken"]')].map((one) => one.textContent.trim().replace(/\.$/, "")).join(". ");

  /* A sharper picture takes the place of the first one once it is whole. */
  const sharpen = () => {
    const exhibit = current();
    const picture = exhibit.querySelector('[data-part="picture"]');
    if (picture.dataset.sharp) return;
    picture.dataset.sharp = "asked";
    const sharp = new Image();
    sharp.src = exhibit.dataset.large;
    sharp.decode().then(
      () => { picture.src = sharp.src; },
      () => { delete picture.dataset.sharp; },
    );
  };

  const button = (name) => bar.querySelector(`[data-act="${name}"]`);
  const showButtons = () => {
    const off = {
      previous: isHidden() || state.index === 0,
      next: isHidden() || state.index >= exhibits.length - 1,
      lines: isHidden() || !current()?.querySelector('[data-part="lines"]'),
      pointer: isHidden(),
      out: isHidden() || state.zoom === 0,
      in: isHidden() || state.zoom === ZOOMS.length - 1,
      fit: isHidden() || state.zoom === 0,
    };
    for (const [name, is] of Object.entries(off)) button(name)?.setAttribute("aria-disabled", String(is));
    for (const [name, is] of Object.entries({ lines: state.lines, pointer: !pointer.hidden })) {
      button(name)?.setAttribute("aria-pressed", String(is));
    }
    if (button("hide")) button("hide").textContent = isHidden() ? "Show" : "Hide";
  };

  const draw = () => {
    const exhibit = current();
    exhibits.forEach((one) => { one.hidden = one !== exhibit || isHidden(); });
    showButtons();
    const zoom = ZOOMS[state.zoom];
    pointer.style.setProperty("--at-across", `${state.across * 100}%`);
    const frame = exhibit?.querySelector('[data-part="frame"]');
    if (!frame) return;
    const box = frame.getBoundingClientRect();
    const share = box.height / room.getBoundingClientRect().height;
    pointer.style.setProperty("--at-down", `${state.down * share * 100}%`);
    const lines = exhibit.querySelector('[data-part="lines"]');
    if (lines) lines.toggleAttribute("hidden", !state.lines);
    /* What is under the pointer stays under it; without one the place it would have. */
    const shift = zoom - 1;
    frame.style.setProperty("--zoom", String(zoom));
    frame.style.setProperty("--across", `${(0.5 - state.across) * shift * box.width}px`);
    frame.style.setProperty("--down", `${(0.5 - state.down) * shift * box.height}px`);
    if (zoom > 1) sharpen();
  };

  const open = (wanted) => {
    const index = Math.min(exhibits.length - 1, Math.max(0, wanted));
    if (index === state.index) {
      say(`${spoken(current())}. ${place()}.`, "exhibit");
      return;
    }
    Object.assign(state, { index, zoom: 0, across: 0.5, down: 0.5, lines: false });
    draw();
    // A covered screen names its next picture to nobody, but to who listens.
    const hidden = isHidden() ? " The screen is still hidden." : "";
    say(`${spoken(current())}. ${place()}.${hidden}`, "exhibit");
  };

  const zoomTo = (zoom) => {
    state.zoom = zoom;
    if (!zoom && pointer.hidden) Object.assign(state, { across: 0.5, down: 0.5 });
    draw();
    say(zoom ? `Enlarged ${ZOOMS[zoom]} times.` : "Whole picture.", "zoom");
  };

  const hide = () => {
    nothing.hidden = !nothing.hidden;
    draw();
    say(isHidden() ? "Hidden. The screen is black." : `Shown: ${spoken(current())}.`, "hide");
  };

  const fill = () => {
    const asked = document.fullscreenElement
      ? document.exitFullscreen()
      : document.documentElement.requestFullscreen?.();
    asked?.catch(() => say("Full screen is not available here."));
  };

  const acts = {
    next: () => open(state.index + 1),
    previous: () => open(state.index - 1),
    first: () => open(0),
    last: () => open(exhibits.length - 1),
    in: () => zoomTo(Math.min(ZOOMS.length - 1, state.zoom + 1)),
    out: () => zoomTo(Math.max(0, state.zoom - 1)),
    fit: () => zoomTo(0),
    cycle: () => zoomTo((state.zoom + 1) % ZOOMS.length),
    lines: () => {
      if (!current().querySelector('[data-part="lines"]')) return;
      state.lines = !state.lines;
      draw();
      say(state.lines ? "What was measured is shown." : "What was measured is hidden.", "lines");
    },
    pointer: () => {
      pointer.hidden = !pointer.hidden;
      draw();
      say(pointer.hidden ? "Pointer hidden." : "Pointer shown. Arrow keys, mouse or finger move it.", "pointer");
      if (!pointer.hidden) room.focus({ preventScroll: true });
    },
    list: () => list.showModal(),
    screen: fill,
    hide,
    end: () => window.location.assign(room.dataset.leave),
  };
  const act = (name) => {
    const alone = name === "end" || name === "screen";
    if (!exhibits.length && !alone) return;
    if (isHidden() && !WHILE_HIDDEN.has(name)) say("The screen is still hidden.", "hide");
    else acts[name]();
  };

  const steer = ([across, down]) => {
    if (!isSteering()) {
      if (across) act(across > 0 ? "next" : "previous");
      return;
    }
    if (isHidden()) return;
    state.across = within(state.across + across * STEP);
    state.down = within(state.down + down * STEP);
    draw();
  };

  const controls = new Controls(bar, room, { act, busy: () => !pointer.hidden });

  const key = (event) => {
    const name = pressed(event);
    const way = arrow(event, FAR);
    const onPicture = onPage(event, room);
    if (name === "Escape" && bar.contains(document.activeElement)) {
      room.focus({ preventScroll: true });
      controls.hide();
    } else if (name === "Escape") act("end");
    else if (way && onPicture) steer(way);
    else if (name in PRESSES && onPicture) act(PRESSES[name]);
    else if (name in KEYS) act(KEYS[name]);
    else return false;
    return true;
  };
  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || document.querySelector("dialog[open]")) return;
    if (key(event)) event.preventDefault();
  });

  list.addEventListener("click", (event) => {
    const chosen = event.target.closest("[data-place]");
    if (!chosen) return;
    list.close();
    room.focus({ preventScroll: true });
    open(Number(chosen.dataset.place));
  });

  /* The mouse steers the pointer too, while it is shown; a finger does where it lies. */
  room.addEventListener("pointermove", (event) => {
    const frame = current()?.querySelector('[data-part="frame"]');
    if (pointer.hidden || !frame) return;
    const box = frame.getBoundingClientRect();
    state.across = within((event.clientX - box.left) / box.width);
    state.down = within((event.clientY - box.top) / box.height);
    draw();
  });
  watchFingers(room, {
    tap: () => controls.toggle(),
    swipe: (by) => act(by > 0 ? "next" : "previous"),
    drag: ([across, down]) => {
      const frame = current()?.querySelector('[data-part="frame"]');
      if (!isSteering() || !frame || isHidden()) return false;
      if (pointer.hidden) {
        const box = frame.getBoundingClientRect();
        const shift = ZOOMS[state.zoom] - 1;
        state.across = within(state.across - across / (shift * box.width));
        state.down = within(state.down - down / (shift * box.height));
        draw();
      }
      return true;
    },
  });
  window.addEventListener("resize", draw);
  draw();
});
