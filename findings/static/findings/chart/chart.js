/* The body chart: look, zoom, choose a finding, and draw marks with mouse, finger, pen or keys.
 * The server draws the chart; this draws what is not saved yet over it. */
import { loadBody, pick } from "../body/picking.js";
import { uuid7 } from "../../shell/js/new_key.js";
import "../../shell/js/outbox.js";
import { say } from "../../shell/js/say.js";
import { widget } from "../../shell/js/widgets.js";
import { focusAfterSwap } from "./focus.js";
import { markForm, marksIn, offerFor, putMarks } from "./forms.js";
import { emptyHand, hand } from "./hand.js";
import { keyAct } from "./keys.js";
import { partAt, partOfMark, pickMark, shareWords, whereOf } from "./middle.js";
import "./words.js";
import { watchFolds } from "./folds.js";
import { writeFoot } from "./foot.js";
import { Overlay } from "./overlay.js";
import { watchPointer } from "./pointer.js";
import { showRow } from "./rows.js";
import { markSentence, placeParts, placeSentence, sizeSentence, stepSentence, toolSentence } from "./spoken.js";
import { isEnough, isOnePlace, rounded, scaled, shifted, simplified, withMark } from "./strokes.js";
import { pressTool, showSteps } from "./toolbar.js";
import { viewClick } from "./views.js";
import { Sight } from "./window.js";

const bodies = new Map();

function bodyOf(key, assets) {
  if (!bodies.has(key)) bodies.set(key, loadBody(key, (path) => assets + path));
  return bodies.get(key);
}

class Chart {
  constructor(side) {
    hand.chart = this;
    this.side = side;
    this.view = side.dataset.view;
    this.isSchematic = "schematic" in side.dataset;
    this.lengthCm = Number(side.dataset.lengthCm) || null;
    this.paper = this.part("paper");
    this.svg = this.paper.querySelector("svg");
    this.overlay = new Overlay(this.svg);
    this.sight = new Sight(this.svg, () => this.redraw());
    this.body = null;
    this.footFirst = [...this.part("foot").childNodes];
    this.mayDraw = "newUrl" in side.dataset;
    this.takeOver();
    this.listen();
    this.chooseTool(hand.tool);
    bodyOf(side.dataset.body, side.dataset.assets).then((body) => {
      this.body = body;
      side.dataset.ready = "";
      this.tell();
    });
  }

  /* The crosshair stays where it was while parts of the page are swapped. */
  get at() {
    return hand.spot?.view === this.view ? hand.spot.at : null;
  }

  set at(at) {
    hand.spot = { view: this.view, at };
  }

  part(name) {
    return this.side.querySelector(`[data-part="${name}"]`);
  }

  get takes() {
    return this.side.dataset.placing ? markForm() : null;
  }

  /* Marks come from the form when it holds some; without a form what was drawn is settled. */
  takeOver() {
    const takes = this.takes;
    if (!takes) {
      emptyHand();
      return;
    }
    const held = marksIn(takes);
    if (held.length || !takes.many) this.hold(held);
    else if (hand.marks.length) putMarks(takes, hand.marks);
    offerFor(takes, hand.marks);
    const words = this.placing;
    if (!words) return;
    words.dataset.first ??= words.textContent;
    words.addEventListener("draft:restored", () => {
      this.hold(marksIn(takes));
      offerFor(takes, hand.marks);
      this.tell();
    });
  }

  /* Marks of another form have steps of their own. */
  hold(marks) {
    const places = (all) => JSON.stringify(all.map(({ view, points }) => [view, points]));
    if (places(marks) !== places(hand.marks)) hand.steps.clear();
    hand.marks = marks;
  }

  /** The line in the form that says where the unsaved mark lies. */
  get placing() {
    return this.takes?.form.querySelector("[data-part='placing-words']") ?? null;
  }

  listen() {
    const tools = this.part("tools");
    tools.hidden = false;
    this.part("keys").hidden = false;
    this.side.addEventListener("click", (event) => {
      const { tool, act } = event.target.closest("button")?.dataset ?? {};
      if (tool) this.takeTool(hand.tool === tool ? "" : tool);
      if (act) this.act(act);
    });
    watchFolds(this.side);
    this.paper.tabIndex = 0;
    this.paper.setAttribute("role", "application");
    this.paper.setAttribute("aria-label", `Body chart, ${this.side.dataset.name}`);
    this.paper.setAttribute("aria-describedby", "chart-how");
    this.paper.addEventListener("keydown", (event) => keyAct(this, event));
    this.paper.addEventListener("blur", () => this.overlay.crosshair(null));
    this.side.addEventListener("click", (event) => viewClick(this, event));
    watchPointer(this);
  }

  act(name) {
    const acts = {
      nearer: () => this.zoom(() => this.sight.zoom(1 / 1.5, this.at)),
      farther: () => this.zoom(() => this.sight.zoom(1.5, this.at)),
      whole: () => this.zoom(() => this.sight.all()),
      undo: () => this.undo(),
      redo: () => this.redo(),
      finish: () => this.finish(),
    };
    acts[name]?.();
  }

  zoom(change) {
    change();
    say(this.sight.isWhole ? "Whole view." : `Enlarged ${this.sight.times.toFixed(1)} times.`, "zoom");
  }

  /** Take a tool in hand, and say so. */
  takeTool(tool) {
    this.chooseTool(tool);
    if (hand.tool === tool) say(toolSentence(tool), "tool");
  }

  chooseTool(tool) {
    if (tool && !this.mayDraw) return;
    if (tool !== hand.tool) hand.draft = null;
    hand.tool = tool;
    this.paper.dataset.tool = tool;
    pressTool(this.side, tool);
    this.redraw();
  }

  get tool() {
    return hand.tool;
  }

  /* The unsaved mark that can still be moved. */
  get movable() {
    const last = hand.marks.at(-1);
    return !hand.draft && last?.view === this.view ? last : null;
  }

  /* A corner of a line or an area, or a point: the second time on the same spot finishes. */
  addCorner(at) {
    const spot = rounded(at);
    if (isOnePlace(hand.tool)) {
      hand.draft = { kind: hand.tool, points: [spot] };
      this.finish();
      return;
    }
    hand.draft ??= { kind: hand.tool, points: [] };
    const last = hand.draft.points.at(-1);
    const same = last && Math.hypot(last[0] - spot[0], last[1] - spot[1]) < 5 * this.sight.unit;
    if (same) this.finish();
    else {
      hand.draft.points.push(spot);
      const found = this.foundAt(spot);
      const where = found ? placeSentence(whereOf(found, this.lengthCm)) : "beside the body.";
      say(`Corner ${hand.draft.points.length}: ${where}`, "corner");
    }
    this.redraw();
  }

  stroke(points) {
    const drawn = simplified(points.map(rounded), 1.2 * this.sight.unit);
    hand.draft = { kind: hand.tool, points: isOnePlace(hand.tool) ? [drawn.at(-1)] : drawn };
    this.finish();
  }

  finish() {
    const { draft } = hand;
    if (!draft) return;
    if (!isEnough(draft.kind, draft.points)) {
      this.say(draft.kind === "line" ? "A line needs two ends." : "An outline needs three corners.");
      return;
    }
    hand.draft = null;
    const mark = { id: uuid7(), view: this.view, ...draft, ...(this.isSchematic && { schematic: true }) };
    if (!this.mayLieAt(mark)) {
      this.say("The mark is outside the body. Place it on the drawing.");
      this.redraw();
      return;
    }
    const { takes } = this;
    if (takes && !takes.many) this.keep([{ ...mark, ...(mark.kind === "paired" && { end: takes.form.elements.end?.value }) }], "place");
    else this.keep(withMark(hand.marks, mark), "place");
    const waits = mark.kind === "paired" && !(takes && !takes.many) && hand.marks.filter((one) => one.kind === "paired").length < 2;
    this.chooseTool(waits ? "paired" : "");
    this.tell();
    say(this.sentence());
  }

  /* What lies under a mark: surface, or the part of a schematic drawing. */
  under(mark) {
    if (mark.view !== this.view) return this.body && !mark.schematic ? pickMark(this.body, mark) : null;
    if (this.isSchematic) return partOfMark(this.svg, mark);
    return this.body ? pickMark(this.body, mark) : null;
  }

  mayLieAt(mark) {
    return (!this.isSchematic && !this.body) || Boolean(this.under(mark));
  }

  /* What lies under a page point of the open view. */
  foundAt(at) {
    if (this.isSchematic) return partAt(this.svg, at);
    return this.body ? pick(this.body, this.view, ...at) : null;
  }

  /** Where the last unsaved mark lies, or null. */
  get where() {
    const mark = hand.marks.at(-1);
    const found = mark ? this.under(mark) : null;
    return found ? whereOf(found, this.lengthCm) : null;
  }

  /** The last unsaved mark in a sentence, after how many there are. */
  sentence() {
    const { where } = this;
    const mark = hand.marks.at(-1);
    if (!where) return "";
    const said = markSentence(mark, where);
    const next = hand.tool === "paired" && mark.end === "entrance" ? " Now touch the far end, in this view or another." : "";
    if (hand.marks.length < 2) return said + next;
    return `${hand.marks.length} marks, the last: ${said[0].toLowerCase()}${said.slice(1)}${next}`;
  }

  /** Take marks over; `step` names what was done, so that it can be taken back. */
  keep(marks, step = "") {
    if (step) hand.steps.note(step, hand.marks, hand.marks.at(-1)?.id);
    hand.marks = marks;
    const takes = this.takes;
    if (takes) putMarks(takes, marks);
    this.tell();
    if (!takes && marks.length) this.openForm();
  }

  openForm() {
    const { htmx } = window;
    const url = `${this.side.dataset.newUrl}?view=${this.view}`;
    hand.then = "term";
    htmx.ajax("GET", url, { target: "#chart-work", swap: "outerHTML show:none" });
  }

  move(du, dv) {
    const mark = this.movable;
    if (mark) this.keep([...hand.marks.slice(0, -1), shifted(mark, du, dv)], "move");
  }

  /** Say where the mark came to lie that was moved. */
  sayMoved() {
    if (!this.movable) return;
    const { where } = this;
    say(where ? `Moved: ${placeSentence(where)}` : "Moved beside the body.", "move");
  }

  /** Make the mark just drawn larger or smaller. */
  resize(factor) {
    const mark = this.movable;
    if (!mark || mark.points.length < 2) return;
    const larger = scaled(mark, factor);
    this.keep([...hand.marks.slice(0, -1), larger], "size");
    say(sizeSentence(larger.points, factor, this.isSchematic ? null : this.lengthCm), "size");
  }

  /** Follow a link of the panel by its key, as the layer's. */
  follow(name) {
    document.querySelector(`.chart-panel [data-key="${name}"]`)?.click();
  }

  /** Open the folded part of a name, such as the menu of views, and go to its first choice. */
  unfold(name) {
    const fold = this.part(name);
    fold.open = true;
    (fold.querySelector("a") ?? fold.querySelector("summary")).focus();
  }

  undo() {
    if (!hand.draft) {
      this.carry(hand.steps.undo(hand.marks), false);
      return;
    }
    hand.draft.points.pop();
    const left = hand.draft.points.length;
    if (!left) hand.draft = null;
    say(left ? `The last corner is removed, ${left} left.` : "The last corner is removed. None is left.");
    this.redraw();
  }

  /** Do again what was taken back last. */
  redo() {
    if (!hand.draft) this.carry(hand.steps.redo(hand.marks), true);
  }

  carry(step, again) {
    if (!step) {
      say(again ? "Nothing to do again." : "Nothing to take back.");
      return;
    }
    this.keep(step.marks);
    say(stepSentence(step.name, again, hand.marks.length, this.where));
  }

  redraw() {
    this.overlay.setUnit(this.sight.unit);
    this.overlay.draw(hand.marks.filter((mark) => mark.view === this.view), hand.draft);
    this.overlay.crosshair(document.activeElement === this.paper ? this.at : null);
    showSteps(this.side, hand);
    this.side.toggleAttribute("data-zoomed", !this.sight.isWhole);
  }

  /** Write where the unsaved mark lies: beside the form and in the foot. */
  tell() {
    this.redraw();
    const words = this.placing;
    if (!words) return;
    const mark = hand.marks.at(-1);
    const found = mark ? this.under(mark) : null;
    const { place } = this.takes.form.elements;
    if (place) place.placeholder = found ? (found.place ?? found.term) : "";
    if (!found) {
      delete words.dataset.region;
      if (!mark) words.textContent = words.dataset.first;
      return;
    }
    words.dataset.region = found.region;
    words.textContent = this.sentence();
    writeFoot(this.part("foot"), this.footWords(found));
  }

  footWords(found) {
    return [...placeParts(whereOf(found, this.lengthCm)), found.point ? shareWords(this.body, found) : ""].filter(Boolean);
  }

  /** The foot: what lies under a page point, or what it said first. */
  look(at) {
    if (!this.body) return;
    const found = at && this.foundAt(at);
    if (found) writeFoot(this.part("foot"), this.footWords(found));
    else if (!hand.marks.length) this.part("foot").replaceChildren(...this.footFirst);
  }

  /** Say what lies under the crosshair. */
  sayAt() {
    if (!this.body) return;
    const found = this.foundAt(this.at);
    say(found ? placeSentence(whereOf(found, this.lengthCm)) : "Beside the body.", "crosshair");
  }

  say(text) {
    say(text);
    const words = this.placing;
    if (words && !hand.marks.length) words.textContent = text;
  }

  /** Turn to the opposite view and stay on the drawing. */
  turn() {
    hand.then = "chart";
    this.part("inset").click();
  }
}

widget("body-chart", (side) => {
  const chart = new Chart(side);
  showRow();
  focusAfterSwap(chart);
});

/* The course at the left counts findings too. */
document.addEventListener("htmx:load", (event) => {
  const work = event.detail.elt.closest?.("#chart-work");
  const words = document.querySelector(".course a[aria-current] .words");
  if (work?.dataset.words && words) words.textContent = work.dataset.words;
});
