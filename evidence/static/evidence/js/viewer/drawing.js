/* Drawing a pointer or an outline: clicks, one line in one go, or a crosshair moved by keys. */
import { arrow, command, pressed } from "../../../shell/js/keys.js";
import { say } from "../../../shell/js/say.js";

const NEAR = 5;
const MOST = 400;
const STEP_PX = 2;
const FAR = 10;

export class Drawing {
  constructor(form, stage, overlay) {
    this.form = form;
    this.stage = stage;
    this.overlay = overlay;
    this.points = [];
    this.cross = null;
    this.trace = null;
    this.active = false;
    const { element } = stage;
    element.addEventListener("pointerdown", (event) => this.down(event));
    element.addEventListener("pointermove", (event) => this.move(event));
    element.addEventListener("pointerup", (event) => this.up(event));
    form.addEventListener("click", (event) => this.press(event.target.closest("[data-act]")?.dataset.act));
    form.addEventListener("submit", () => this.fill());
  }

  /** Begin for one link: where to send it, its version, and what is drawn already. */
  begin({ action, version, number, term, points, again }) {
    this.form.action = action;
    this.form.elements.version.value = version;
    this.words = `finding ${number}, ${term}`;
    this.points = JSON.parse(again || points || "[]").map(([x, y]) => this.fromShares(x, y));
    this.was = Boolean(points);
    this.active = true;
    this.stage.dragging = false;
    this.stage.element.dataset.drawing = "";
    this.form.hidden = false;
    this.say();
    this.draw();
    this.stage.element.focus();
    this.form.closest(".viewer").scrollIntoView({ block: "nearest" });
  }

  leave() {
    this.active = false;
    this.cross = null;
    this.stage.dragging = true;
    delete this.stage.element.dataset.drawing;
    this.form.hidden = true;
    this.overlay.drawn([], null);
  }

  fromShares(x, y) {
    return [x * this.stage.view.width, y * this.stage.view.height];
  }

  fill() {
    const { width, height } = this.stage.view;
    const share = (value, length) => Number((value / length).toFixed(6));
    const points = this.points.map(([x, y]) => [share(x, width), share(y, height)]);
    this.form.elements.outline.value = JSON.stringify(points);
  }

  press(act) {
    if (act === "undo") this.points.pop();
    else if (act === "clear") this.points = [];
    else if (act === "leave") return this.leave();
    else return undefined;
    this.say();
    return this.draw();
  }

  say() {
    const count = this.points.length;
    const told = count === 0 ? `Click once to point at ${this.words}, or click around it. ${this.was ? "Saved empty, the outline is removed." : ""}`
      : count === 1 ? `A pointer at ${this.words}. More corners make an outline.`
        : count === 2 ? "An outline needs one more corner." : `An outline of ${this.words} with ${count} corners.`;
    const words = this.form.querySelector('[data-part="draw-words"]');
    if (words.textContent !== told) say(told, "outline");
    words.textContent = told;
    this.form.querySelector('[type="submit"]').disabled = count === 2 || (count === 0 && !this.was);
  }

  draw() {
    if (!this.active) return;
    const { view } = this.stage;
    this.overlay.drawn(this.points.map((point) => view.toStage(point)), this.cross && view.toStage(this.cross));
  }

  add(at) {
    const { view } = this.stage;
    const [x, y] = view.toPicture(at);
    if (this.points.length >= MOST) return;
    this.points.push([Math.min(view.width, Math.max(0, x)), Math.min(view.height, Math.max(0, y))]);
  }

  down(event) {
    if (!this.active || event.button !== 0) return;
    this.cross = null;
    // A second finger makes a pinch of it: what the first one drew is taken back.
    if (this.stage.fingers.size > 1) {
      if (this.trace) this.points.length = this.trace.before;
      this.trace = null;
    } else this.trace = { last: this.stage.at(event), before: this.points.length };
    this.draw();
  }

  move(event) {
    if (!this.active || !this.trace) return;
    const at = this.stage.at(event);
    if (Math.hypot(at[0] - this.trace.last[0], at[1] - this.trace.last[1]) < NEAR) return;
    if (this.points.length === this.trace.before) this.add(this.trace.last);
    this.add(at);
    this.trace.last = at;
    this.draw();
  }

  up(event) {
    if (!this.active || !this.trace) return;
    if (this.points.length === this.trace.before) this.add(this.stage.at(event));
    this.trace = null;
    this.say();
    this.draw();
  }

  /* A corner at the crosshair; the second time on the same spot saves. */
  set() {
    const { view } = this.stage;
    this.cross ||= view.toPicture(view.stage.map((length) => length / 2));
    const [last, here] = [this.points.at(-1), this.cross];
    const save = this.form.querySelector('[type="submit"]');
    if (last && Math.hypot(last[0] - here[0], last[1] - here[1]) * view.scale < 1) {
      if (!save.disabled) this.form.requestSubmit(save);
    } else this.add(view.toStage(here));
  }

  /** Keys while drawing; true when the key was for the drawing. */
  key(event) {
    if (!this.active || event.target.closest("button, input")) return false;
    const key = pressed(event);
    const way = arrow(event, FAR);
    if (way) {
      const { view } = this.stage;
      const [u, v] = view.toStage(this.cross || view.toPicture([view.stage[0] / 2, view.stage[1] / 2]));
      const [across, down] = view.stage;
      this.cross = view.toPicture([
        Math.min(across, Math.max(0, u + way[0] * STEP_PX)), Math.min(down, Math.max(0, v + way[1] * STEP_PX)),
      ]);
      const [right, low] = [this.cross[0] / view.width, this.cross[1] / view.height].map((share) => Math.round(share * 100));
      say(`Crosshair ${right} % from the left, ${low} % from the top.`, "crosshair");
    } else if (key === " " || key === "Enter") this.set();
    else if (key === "Backspace" || command(event) === "undo") this.points.pop();
    else if (key === "Escape") this.leave();
    else return false;
    if (this.active) this.say();
    this.draw();
    return true;
  }
}
