/* The stage: a picture on a canvas with its outlines above, moved by pointers and the wheel. */
import { ask } from "../../../shell/js/page_of.js";
import { Squares, levelFor, squaresInSight } from "./tiles.js";
import { View } from "./view.js";

const ASK_AGAIN_MS = 1500;

export class Stage {
  /** `onMove(change)` is told how a person moved the picture, `onDraw()` that it was drawn. */
  constructor(element, { width, height, tiles, onMove, onDraw, onState }) {
    this.element = element;
    this.image = element.querySelector("img");
    this.svg = element.querySelector("svg");
    this.canvas = document.createElement("canvas");
    this.canvas.setAttribute("role", "img");
    this.canvas.setAttribute("aria-label", this.image.alt);
    this.view = new View(width, height);
    this.tiles = tiles;
    Object.assign(this, { onMove, onDraw, onState });
    this.fingers = new Map();
    this.plan = null;
    this.squares = null;
    this.asked = false;
    this.frame = 0;
    this.dragging = true;
    this.image.after(this.canvas);
    element.classList.add("is-live");
    this.listen();
  }

  get density() {
    return window.devicePixelRatio || 1;
  }

  listen() {
    new ResizeObserver(() => this.resize()).observe(this.element);
    this.image.addEventListener("load", () => this.draw());
    this.element.addEventListener("wheel", (event) => this.wheel(event), { passive: false });
    this.element.addEventListener("pointerdown", (event) => this.down(event));
    this.element.addEventListener("pointermove", (event) => this.move(event));
    for (const end of ["pointerup", "pointercancel"]) {
      this.element.addEventListener(end, (event) => this.fingers.delete(event.pointerId));
    }
  }

  resize() {
    const { clientWidth, clientHeight } = this.element;
    if (!clientWidth || !clientHeight) return;
    this.canvas.width = Math.round(clientWidth * this.density);
    this.canvas.height = Math.round(clientHeight * this.density);
    this.view.resize(clientWidth, clientHeight);
    this.draw();
  }

  at(event) {
    const box = this.element.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  }

  wheel(event) {
    event.preventDefault();
    this.zoom(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0016)), this.at(event));
  }

  down(event) {
    if (event.button !== 0) return;
    this.fingers.set(event.pointerId, this.at(event));
    this.element.setPointerCapture(event.pointerId);
  }

  move(event) {
    const before = this.fingers.get(event.pointerId);
    if (!before) return;
    const now = this.at(event);
    this.fingers.set(event.pointerId, now);
    if (this.fingers.size === 2) this.pinch(event.pointerId, before, now);
    else if (this.fingers.size === 1 && this.dragging) this.pan(now[0] - before[0], now[1] - before[1]);
  }

  pinch(id, before, now) {
    const [, still] = [...this.fingers].find(([key]) => key !== id);
    const apart = (one) => Math.max(8, Math.hypot(one[0] - still[0], one[1] - still[1]));
    this.pan((now[0] - before[0]) / 2, (now[1] - before[1]) / 2);
    this.zoom(apart(now) / apart(before), [(now[0] + still[0]) / 2, (now[1] + still[1]) / 2]);
  }

  pan(du, dv) {
    this.view.pan(du, dv);
    this.moved({ pan: [du, dv] });
  }

  zoom(factor, at) {
    const before = this.view.scale;
    this.view.zoom(factor, at);
    const place = at && [at[0] / this.view.stage[0], at[1] / this.view.stage[1]];
    this.moved({ zoom: this.view.scale / before, place });
  }

  fit() {
    this.view.fit();
    this.moved({ fit: true });
  }

  /** One point of the picture on one point of the screen. */
  pixels(at) {
    this.zoom(1 / this.density / this.view.scale, at);
  }

  turn(quarters) {
    this.view.turn(quarters);
    this.moved({ turn: quarters });
  }

  moved(change) {
    this.draw();
    this.onMove(change);
  }

  /** Move as another stage was moved. */
  follow(change) {
    const { stage } = this.view;
    if (change.pan) this.view.pan(...change.pan);
    if (change.zoom) this.view.zoom(change.zoom, change.place && [change.place[0] * stage[0], change.place[1] * stage[1]]);
    if (change.fit) this.view.fit();
    if (change.turn) this.view.turn(change.turn);
    this.draw();
  }

  /** Until the stage has its size, the picture would be shown, and told, as small as a point. */
  draw() {
    if (!this.frame && this.view.measured) this.frame = requestAnimationFrame(() => this.paint());
  }

  paint() {
    this.frame = 0;
    const pen = this.canvas.getContext("2d");
    const { view, density, image } = this;
    pen.setTransform(1, 0, 0, 1, 0, 0);
    pen.clearRect(0, 0, this.canvas.width, this.canvas.height);
    if (image.complete && image.naturalWidth) {
      pen.setTransform(...view.matrix.map((value) => value * density));
      // Enlarged beyond its points, a picture shows them as they are.
      pen.imageSmoothingEnabled = view.scale * density < 2;
      pen.imageSmoothingQuality = "high";
      pen.drawImage(image, 0, 0, view.width, view.height);
      this.paintSquares(pen);
    }
    this.onDraw();
  }

  paintSquares(pen) {
    const copyScale = this.image.naturalWidth / this.view.width;
    if (!this.plan) {
      if (copyScale < 0.98 && copyScale < this.view.scale * this.density) this.askForPlan();
      return;
    }
    const level = levelFor(this.view, this.plan, this.density, copyScale);
    if (level === null) return;
    this.squares.want(squaresInSight(this.view, this.plan, level));
    for (const { image, x, y, points } of this.squares.drawn(level)) {
      pen.drawImage(image, x, y, image.naturalWidth * points, image.naturalHeight * points);
    }
  }

  async askForPlan() {
    if (this.asked) return;
    this.asked = true;
    const answer = await ask(this.tiles).catch(() => null);
    // A store that does not answer for now: the squares are asked for again.
    const away = answer?.status === 503;
    const plan = answer?.ok ? await answer.json() : { state: away ? "waiting" : "failed" };
    this.onState(plan.state);
    if (plan.state === "made") {
      this.plan = plan;
      this.squares = new Squares(this.tiles, plan, () => this.draw());
      this.draw();
    } else if (plan.state === "waiting") {
      setTimeout(() => {
        this.asked = false;
        this.draw();
      }, ASK_AGAIN_MS);
    }
  }
}
