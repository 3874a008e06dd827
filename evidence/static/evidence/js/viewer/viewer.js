/* One photograph looked at closely: size, turn, outlines, keys. Started from data-widget. */
import { arrow, isTyping, onPage, pressed } from "../../../shell/js/keys.js";
import { widget } from "../../../shell/js/widgets.js";
import { Drawing } from "./drawing.js";
import { Overlay } from "./overlay.js";
import { Stage } from "./stage.js";

const STEP = 1.4;
const STEP_PX = 80;
const FAR = 4;
const STATES = {
  waiting: "Full detail is being made.",
  failed: "Full detail could not be made; the original can be downloaded.",
  made: "",
};
const KEYS = { "+": "in", "-": "out", 0: "fit", 1: "pixels", r: "turn", o: "overlay", f: "screen" };
const viewers = new WeakMap();

export const viewerOf = (element) => viewers.get(element);

export class Viewer {
  constructor(element) {
    this.element = element;
    this.onMove = () => undefined;
    this.part = (name) => element.querySelector(`[data-part="${name}"]`);
    const { width, height, tiles } = element.dataset;
    this.stage = new Stage(this.part("stage"), {
      width: Number(width), height: Number(height), tiles,
      onMove: (change) => this.onMove(change),
      onDraw: () => this.drawn(),
      onState: (state) => { this.part("state").textContent = STATES[state] ?? ""; },
    });
    this.overlay = new Overlay(this.stage.svg, this.stage.view);
    const form = this.part("draw");
    this.drawing = form && new Drawing(form, this.stage, this.overlay);
    this.part("bar").hidden = false;
    element.addEventListener("click", (event) => this.act(event.target.closest(".viewer-bar [data-act]")?.dataset.act));
    this.stage.element.addEventListener("dblclick", (event) => {
      if (!this.drawing?.active) this.stage.zoom(2, this.stage.at(event));
    });
  }

  get open() {
    return this.stage.element.clientWidth > 0;
  }

  drawn() {
    this.overlay.draw();
    this.drawing?.draw();
    const percent = this.stage.view.scale * this.stage.density * 100;
    this.part("zoom").textContent = `${percent < 10 ? percent.toFixed(1) : Math.round(percent)} %`;
    this.stage.element.classList.toggle("is-enlarged", !this.stage.view.fits);
  }

  act(name) {
    const acts = {
      in: () => this.stage.zoom(STEP),
      out: () => this.stage.zoom(1 / STEP),
      fit: () => this.stage.fit(),
      pixels: () => this.stage.pixels(),
      turn: () => this.stage.turn(1),
      "turn-left": () => this.stage.turn(-1),
      overlay: () => this.toggleOverlay(),
      screen: () => this.wholeScreen(),
    };
    acts[name]?.();
  }

  toggleOverlay() {
    const off = this.stage.svg.classList.toggle("is-off");
    this.element.querySelector('[data-act="overlay"]')?.setAttribute("aria-pressed", String(!off));
  }

  wholeScreen() {
    if (document.fullscreenElement) document.exitFullscreen();
    else this.element.requestFullscreen?.().catch(() => undefined);
  }

  /** Answer a key; true when it was for the viewer. */
  key(event) {
    if (!this.open) return false;
    if (this.drawing?.key(event)) return true;
    const way = arrow(event, FAR);
    if (way) {
      if (this.stage.view.fits || !onPage(event, this.stage.element)) return false;
      this.stage.pan(...way.map((part) => -part * STEP_PX));
      return true;
    }
    const key = pressed(event);
    if (!(key in KEYS)) return false;
    this.act(key === "r" && event.shiftKey ? "turn-left" : KEYS[key]);
    return true;
  }
}

/** Is the key meant for the picture: a character from anywhere, others where nothing else takes them. */
export function forPicture(event) {
  const key = pressed(event);
  if (key.length === 1 && key !== " ") return true;
  return onPage(event) || Boolean(event.target.closest?.(".viewer")) && !isTyping(event.target);
}

widget("photo-viewer", (element) => {
  const viewer = new Viewer(element);
  viewers.set(element, viewer);
  if (element.closest('[data-widget~="compare"]')) return;
  // Before the page's own arrows, which turn to the next photograph.
  document.addEventListener("keydown", (event) => {
    if (!element.isConnected || !forPicture(event) || !viewer.key(event)) return;
    event.preventDefault();
    event.stopImmediatePropagation();
  }, { capture: true });
  for (const type of ["mouseover", "focusin", "mouseout", "focusout"]) {
    document.addEventListener(type, (event) => {
      const named = event.target.closest?.("[data-lights]");
      if (named) viewer.overlay.light(type.endsWith("out") ? "" : named.dataset.lights);
    });
  }
  if (viewer.drawing) offerDrawing(viewer);
});

function offerDrawing(viewer) {
  for (const button of document.querySelectorAll("button[data-outline]")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      viewer.element.querySelector("details").open = true;
      viewer.drawing.begin(button.dataset);
    });
    if ("again" in button.dataset) viewer.drawing.begin(button.dataset);
  }
}
