/* The courtroom screen: everything by keys, from the moment the page is there. */
import { arrow, pressed } from "../../shell/js/keys.js";
import { widget } from "../../shell/js/widgets.js";

const ZOOMS = [1, 2, 4];
const STEP = 0.02;
const FAR = 4;
const NEXT = new Set(["n", "PageDown", " ", "Enter"]);
const BEFORE = new Set(["p", "PageUp", "Backspace"]);

const within = (value) => Math.min(1, Math.max(0, value));

widget("courtroom", (room) => {
  const part = (name) => room.querySelector(`[data-part="${name}"]`);
  const exhibits = [...room.querySelectorAll('[data-part="exhibit"]')];
  const pointer = part("pointer");
  const nothing = part("nothing");
  const said = part("said");
  const state = { index: 0, zoom: 0, across: 0.5, down: 0.5, lines: false };

  const current = () => exhibits[state.index];
  const words = () => current()?.querySelector("h1").textContent ?? "";

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

  const draw = () => {
    const exhibit = current();
    exhibits.forEach((one) => { one.hidden = one !== exhibit; });
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

  const go = (by) => {
    const index = Math.min(exhibits.length - 1, Math.max(0, state.index + by));
    if (index === state.index) return;
    Object.assign(state, { index, zoom: 0, across: 0.5, down: 0.5, lines: false });
    draw();
    said.textContent = words();
  };

  const move = ([across, down]) => {
    state.across = within(state.across + across * STEP);
    state.down = within(state.down + down * STEP);
    draw();
  };

  const fill = () => {
    const asked = document.fullscreenElement
      ? document.exitFullscreen()
      : document.documentElement.requestFullscreen?.();
    asked?.catch(() => { said.textContent = "Full screen is not available here."; });
  };

  const steer = (way) => {
    const steering = !pointer.hidden || ZOOMS[state.zoom] > 1;
    if (steering) move(way);
    else if (way[0]) go(Math.sign(way[0]));
  };

  const act = (event) => {
    const key = pressed(event);
    const way = arrow(event, FAR);
    if (!key) return false;
    if (key === "Escape") window.location.assign(room.dataset.leave);
    else if (key === "h") nothing.hidden = !nothing.hidden;
    else if (key === "f") fill();
    else if (!nothing.hidden) return key === "Tab" ? false : true;
    else if (NEXT.has(key)) go(1);
    else if (BEFORE.has(key)) go(-1);
    else if (key === "Home") go(-exhibits.length);
    else if (key === "End") go(exhibits.length);
    else if (key === "z") {
      state.zoom = (state.zoom + 1) % ZOOMS.length;
      draw();
    } else if (key === "m") {
      state.lines = !state.lines;
      draw();
    } else if (key === "a") pointer.hidden = !pointer.hidden;
    else if (way) steer(way);
    else return false;
    return true;
  };

  document.addEventListener("keydown", (event) => {
    if (act(event)) event.preventDefault();
  });
  /* The mouse steers the pointer too, while it is shown. */
  room.addEventListener("pointermove", (event) => {
    const frame = current()?.querySelector('[data-part="frame"]');
    if (pointer.hidden || !frame) return;
    const box = frame.getBoundingClientRect();
    state.across = within((event.clientX - box.left) / box.width);
    state.down = within((event.clientY - box.top) / box.height);
    draw();
  });
  window.addEventListener("resize", draw);
  draw();
});
