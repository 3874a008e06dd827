/* The courtroom screen: every act by a button, a key and a finger, and nothing else to be seen. */
import "../../shell/js/key_list.js";
import { arrow, clicked, command, onPage, pressed } from "../../shell/js/keys.js";
import { say } from "../../shell/js/say.js";
import { widget } from "../../shell/js/widgets.js";
import { Ahead } from "./ahead.js";
import { Controls, watchFingers } from "./controls.js";
import { InStep } from "./in_step.js";
import { Lens } from "./lens.js";
import { Marking } from "./marking.js";
import { TOOLS } from "./drawing.js";
import { Spot } from "./sight.js";

const ZOOMS = [1, 2, 4];
const STEP = 0.02;
const FAR = 4;
const ANSWERED_WITHIN_MS = 300;
// From the picture only: on a button, Enter and the space bar press it.
const PRESSES = { " ": "next", Enter: "next" };
const KEYS = {
  n: "next", PageDown: "next", p: "previous", PageUp: "previous", Backspace: "previous",
  Home: "first", End: "last", h: "hide", b: "hide", ".": "hide", z: "cycle", "+": "in", "-": "out", 0: "fit",
  m: "lines", o: "outlines", a: "pointer", g: "magnifier", d: "draw", s: "beside", l: "list", f: "screen",
};
// While somebody draws; on the picture Enter and the space bar begin and end a stroke.
const DRAWING_KEYS = { Backspace: "undo", Escape: "leave", e: "erase", k: "keep" };
// What a hidden screen still does: a stray press of a clicker must not turn the exhibits over.
const WHILE_HIDDEN = new Set(["hide", "list", "screen", "end"]);
const OVER = {
  lines: ["What was measured is shown.", "What was measured is hidden."],
  outlines: ["Outlines and numbers of findings are shown.", "Outlines are hidden."],
};

const within = (value) => Math.min(1, Math.max(0, value));
const named = (root, name) => [...root.querySelectorAll(`[data-part="${name}"]`)];

widget("courtroom", (room) => {
  const part = (name) => document.querySelector(`[data-part="${name}"]`);
  const exhibits = named(room, "exhibit");
  const pointer = part("pointer");
  const nothing = part("nothing");
  const list = part("list");
  const bar = part("bar");
  const nothingOver = () => ({ lines: false, outlines: false });
  const state = { index: 0, beside: -1, zoom: 0, tool: "", over: nothingOver(), choosing: "", held: null };
  // After a reload the witness's window knows the place, and it is taken from there.
  Object.assign(state, { fresh: true, asking: true });
  const spot = new Spot();

  const current = () => exhibits[state.index];
  const shown = () => [current(), exhibits[state.beside]].filter(Boolean);
  const frames = () => shown().map((one) => named(one, "frame")[0]);
  const cells = () => shown().flatMap((one) => named(one, "cell"));
  const isHidden = () => Boolean(nothing && !nothing.hidden);
  const isSteering = () => state.tool !== "" || state.zoom > 0;
  const place = () => `${state.index + 1} of ${exhibits.length}`;
  const spoken = (exhibit) =>
    named(exhibit, "spoken").map((one) => one.textContent.trim().replace(/\.$/, "")).join(". ");

  /* How far the pictures are. A warning before leaving stands in its place, and is not written over. */
  let loaded = part("ahead").textContent;
  let warned = false;

  /* The witness's window goes where the court is, and may lead; what it has never comes here. */
  const step = new InStep(room, ({ kind, exhibit, name }) => {
    const index = exhibits.findIndex((one) => one.dataset.exhibit === exhibit);
    if (kind === "where" || kind === "there") state.asking = false;
    if (kind === "there" && index >= 0 && state.fresh) show(index);
    else if (kind === "where" || kind === "there") tellOther();
    else if (kind === "go" && index >= 0) open(index);
    else if (kind === "act" && name === "hide") act("hide");
  });
  const tellOther = () => {
    if (!exhibits.length || state.asking) return;
    const beside = exhibits[state.beside]?.dataset.exhibit;
    step.tell("here", { exhibit: current().dataset.exhibit, beside, hidden: isHidden(), loaded });
  };

  const ahead = new Ahead(exhibits.flatMap((one) => named(one, "cell")), (words, done) => {
    if (loaded === words) return;
    loaded = words;
    if (!warned) part("ahead").textContent = words;
    tellOther();
    if (done) say(`${words}.`, "ahead");
  });
  const lens = new Lens(part("lens"), ahead);
  const marking = new Marking(room, { bar, dialog: part("keep"), cells, changed: () => showButtons() });
  const isDrawing = () => state.tool === "drawing";

  /* A sharper picture takes the place of the first one once it is whole. */
  const sharpen = async (cell) => {
    const picture = named(cell, "picture")[0];
    const found = await ahead.largeOf(cell);
    if (!found || picture.src === found) return;
    const sharp = new Image();
    sharp.src = found;
    await sharp.decode().then(() => { picture.src = found; }, () => {});
  };

  /* What comes next is there at once. */
  const unpack = (exhibit) => {
    for (const picture of exhibit ? named(exhibit, "picture") : []) picture.decode().catch(() => {});
  };

  const button = (name) => bar.querySelector(`[data-act="${name}"]`);
  const showButtons = () => {
    const has = (name) => shown().some((one) => named(one, name).length);
    const hidden = isHidden();
    const off = {
      previous: hidden || state.index === 0,
      next: hidden || state.index >= exhibits.length - 1,
      beside: hidden || exhibits.length < 2,
      lines: hidden || !has("lines"),
      outlines: hidden || !has("outlines"),
      pointer: hidden,
      magnifier: hidden,
      draw: hidden,
      undo: !marking.drawing.strokes.length,
      erase: !marking.drawing.strokes.length,
      keep: !marking.drawing.unkept().size,
      out: hidden || state.zoom === 0,
      in: hidden || state.zoom === ZOOMS.length - 1,
      fit: hidden || state.zoom === 0,
    };
    const on = {
      ...state.over,
      pointer: state.tool === "pointer",
      magnifier: state.tool === "magnifier",
      draw: isDrawing(),
      ...Object.fromEntries(TOOLS.map((tool) => [tool, marking.tool === tool])),
      beside: state.beside >= 0,
    };
    part("tools").hidden = hidden || !isDrawing();
    for (const [name, is] of Object.entries(off)) button(name)?.setAttribute("aria-disabled", String(is));
    for (const [name, is] of Object.entries(on)) button(name)?.setAttribute("aria-pressed", String(is));
    if (button("hide")) button("hide").textContent = isHidden() ? "Show" : "Hide";
  };

  const draw = () => {
    showButtons();
    if (!exhibits.length) return;
    const visible = isHidden() ? [] : shown();
    for (const one of exhibits) {
      one.hidden = !visible.includes(one);
      one.style.order = one === exhibits[state.beside] ? "1" : "0";
    }
    room.toggleAttribute("data-beside", visible.length > 1);
    pointer.hidden = !["pointer", "drawing"].includes(state.tool) || isHidden();
    pointer.toggleAttribute("data-drawing", isDrawing());
    if (isHidden()) {
      lens.hide();
      return;
    }
    for (const [name, is] of Object.entries(state.over)) {
      for (const over of visible.flatMap((one) => named(one, name))) over.toggleAttribute("hidden", !is);
    }
    /* What is under the pointer stays under it; without one the place it would have. */
    const zoom = ZOOMS[state.zoom];
    // Under a hand that draws the picture keeps still.
    const held = isDrawing() ? state.held : spot;
    for (const frame of frames()) {
      const box = frame.getBoundingClientRect();
      frame.style.setProperty("--zoom", String(zoom));
      frame.style.setProperty("--across", `${(0.5 - held.across) * (zoom - 1) * box.width}px`);
      frame.style.setProperty("--down", `${(0.5 - held.down) * (zoom - 1) * box.height}px`);
    }
    const at = spot.at(frames());
    const around = room.getBoundingClientRect();
    pointer.style.setProperty("--left", `${at[0] - around.left}px`);
    pointer.style.setProperty("--top", `${at[1] - around.top}px`);
    if (state.tool === "magnifier") lens.show(cells(), at, room);
    else lens.hide();
    if (zoom > 1) cells().forEach(sharpen);
  };

  const words = () =>
    state.beside < 0
      ? `${spoken(current())}. ${place()}.`
      : `Side by side: ${spoken(current())}. Beside it: ${spoken(exhibits[state.beside])}.`;

  /* What was asked for over an exhibit, and drawn on it, is gone with it. */
  const show = (index, beside = -1) => {
    Object.assign(state, { index, beside, zoom: 0, over: nothingOver() });
    spot.back();
    state.held = { ...spot };
    marking.clear();
    draw();
    unpack(exhibits[index + 1]);
    tellOther();
  };

  const open = (wanted) => {
    const index = Math.min(exhibits.length - 1, Math.max(0, wanted));
    state.fresh = false;
    if (index !== state.index || state.beside >= 0) show(index);
    // Nothing of a covered exhibit is said either.
    say(isHidden() ? `${place()}. The screen is still hidden.` : words(), "exhibit");
  };

  const zoomTo = (zoom) => {
    state.zoom = zoom;
    if (!zoom && !state.tool) spot.back();
    draw();
    say(zoom ? `Enlarged ${ZOOMS[zoom]} times.` : "Whole picture.", "zoom");
  };

  const hide = () => {
    nothing.hidden = !nothing.hidden;
    state.fresh = false;
    draw();
    tellOther();
    say(isHidden() ? "Hidden. The screen is black." : `Shown: ${words()}`, "hide");
  };

  const fill = () => {
    const asked = document.fullscreenElement
      ? document.exitFullscreen()
      : document.documentElement.requestFullscreen?.();
    asked?.catch(() => say("Full screen is not available here."));
  };

  const turn = (name) => {
    if (!shown().some((one) => named(one, name).length)) return;
    state.over[name] = !state.over[name];
    draw();
    say(OVER[name][state.over[name] ? 0 : 1], name);
  };

  const take = (tool, on, off) => {
    state.tool = state.tool === tool ? "" : tool;
    draw();
    say(state.tool ? on : off, "tool");
    if (state.tool) room.focus({ preventScroll: true });
  };

  const drawn = () => {
    if (isDrawing()) {
      if (!marking.next()) acts.leave();
      return;
    }
    Object.assign(state, { tool: "drawing", held: { ...spot } });
    marking.choose(TOOLS[0]);
    draw();
    controls.show();
    room.focus({ preventScroll: true });
  };

  const choose = (what) => {
    state.choosing = what;
    part("list-title").textContent = what === "beside" ? `Beside exhibit ${current().dataset.number}` : "Exhibits";
    for (const one of list.querySelectorAll("[data-place]")) {
      one.closest("li").hidden = what === "beside" && Number(one.dataset.place) === state.index;
    }
    list.showModal();
  };

  const beside = () => {
    if (state.beside < 0) {
      if (exhibits.length > 1) choose("beside");
      return;
    }
    show(state.index);
    say(words(), "exhibit");
  };

  /* Without a connection the browser would leave for a page of its own, and the pictures be gone. */
  const end = () => {
    if (window.navigator.onLine || warned) {
      window.location.assign(room.dataset.leave);
      return;
    }
    warned = true;
    part("ahead").textContent = "No connection: the pictures stay only while this page is open. End again to leave.";
    say(part("ahead").textContent, "ahead");
    controls.show();
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
    lines: () => turn("lines"),
    outlines: () => turn("outlines"),
    pointer: () => take("pointer", "Pointer shown. Arrow keys, mouse or finger move it.", "Pointer hidden."),
    magnifier: () => take("magnifier", "Magnifier shown. Arrow keys, mouse or finger move it.", "Magnifier put away."),
    draw: drawn,
    ...Object.fromEntries(TOOLS.map((tool) => [tool, () => marking.choose(tool)])),
    stroke: () => marking.enter(spot.at(frames())),
    undo: () => marking.takeBack(),
    erase: () => marking.erase(),
    keep: () => marking.ask(),
    leave: () => {
      marking.drawing.drop();
      state.tool = "";
      draw();
      say("Drawing ends. What was drawn stays until the next exhibit.", "tool");
    },
    beside,
    list: () => choose(""),
    screen: fill,
    hide,
    end,
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
    spot.step([across * STEP, down * STEP], frames());
    if (isDrawing()) marking.move(spot.at(frames()));
    draw();
  };

  const controls = new Controls(bar, room, { act, busy: () => state.tool !== "" });

  const key = (event) => {
    const name = pressed(event) || clicked(event, room);
    const way = arrow(event, FAR);
    const onPicture = onPage(event, room);
    if (name === "Escape" && bar.contains(document.activeElement)) {
      room.focus({ preventScroll: true });
      controls.hide();
    } else if (isDrawing() && !isHidden() && (name in DRAWING_KEYS || command(event) === "undo")) {
      act(DRAWING_KEYS[name] ?? "undo");
    } else if (isDrawing() && name in PRESSES && onPicture) act("stroke");
    else if (name === "Escape") act("end");
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
    if (state.choosing !== "beside") {
      open(Number(chosen.dataset.place));
      return;
    }
    show(state.index, Number(chosen.dataset.place));
    say(words(), "exhibit");
  });

  /* The mouse steers what is in hand; a finger does where it lies. */
  const steered = (event) => {
    if (!state.tool || isHidden() || !exhibits.length) return null;
    const at = [event.clientX, event.clientY];
    spot.to(at, frames());
    return at;
  };
  room.addEventListener("pointermove", (event) => {
    const at = steered(event);
    if (!at) return;
    if (isDrawing() && event.pointerId === hand) marking.move(at);
    draw();
  });
  // A picture is not carried off by the mouse that draws on it.
  room.addEventListener("dragstart", (event) => event.preventDefault());
  let hand = null;
  room.addEventListener("pointerdown", (event) => {
    if (!isDrawing() || event.button !== 0 || !steered(event)) return;
    if (hand !== null) {
      // A second finger enlarges the page; it draws nothing.
      marking.drawing.drop();
      return;
    }
    hand = event.pointerId;
    room.setPointerCapture(hand);
    marking.press([event.clientX, event.clientY]);
  });
  for (const name of ["pointerup", "pointercancel"]) {
    room.addEventListener(name, (event) => {
      if (event.pointerId !== hand) return;
      hand = null;
      if (name === "pointerup") marking.release();
      else marking.drawing.drop();
    });
  }
  watchFingers(room, {
    tap: () => controls.toggle(),
    swipe: (by) => act(by > 0 ? "next" : "previous"),
    drag: ([across, down]) => {
      if (!isSteering() || !exhibits.length || isHidden()) return false;
      if (!state.tool) {
        const box = frames()[0].getBoundingClientRect();
        const shift = ZOOMS[state.zoom] - 1;
        spot.across = within(spot.across - across / (shift * box.width));
        spot.down = within(spot.down - down / (shift * box.height));
        draw();
      }
      return true;
    },
  });
  window.addEventListener("resize", draw);
  window.addEventListener("pagehide", () => step.tell("gone"));
  // A clicker's keys act where the picture has the focus.
  room.focus({ preventScroll: true });
  draw();
  // Whoever waits for an answer is not led to the first exhibit meanwhile.
  step.tell("where");
  window.setTimeout(() => {
    state.asking = false;
    tellOther();
  }, ANSWERED_WITHIN_MS);
});
