/**
 * The body chart: look, zoom, choose a finding, and draw marks with mouse, finger, pen or keys.
 * The server draws the chart; this draws what is not saved yet over it.
 */
import { loadBody, pick } from "../body/picking.js";
import { widget } from "../../shell/js/widgets.js";
import { markForm, marksIn, offerFor, putMarks } from "./forms.js";
import { keyAct } from "./keys.js";
import { partAt, partOfMark, partWords, pickMark, positionWords } from "./middle.js";
import "./outbox.js";
import { watchFolds } from "./folds.js";
import { Overlay } from "./overlay.js";
import { watchPointer } from "./pointer.js";
import { isEnough, isOnePlace, kindWord, newId, rounded, scaled, shifted, simplified, withMark } from "./strokes.js";
import { Sight } from "./window.js";

const bodies = new Map();
/* Outlives the swaps of the page's parts: what is drawn and not saved, and the tool in hand. */
const hand = { tool: "", marks: [], draft: null };

function bodyOf(key, assets) {
  if (!bodies.has(key)) bodies.set(key, loadBody(key, (path) => assets + path));
  return bodies.get(key);
}

class Chart {
  constructor(side) {
    this.side = side;
    this.view = side.dataset.view;
    this.isSchematic = "schematic" in side.dataset;
    this.lengthCm = Number(side.dataset.lengthCm) || null;
    this.paper = this.part("paper");
    this.svg = this.paper.querySelector("svg");
    this.overlay = new Overlay(this.svg);
    this.sight = new Sight(this.svg, () => this.redraw());
    this.at = null;
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
      Object.assign(hand, { marks: [], draft: null });
      return;
    }
    const held = marksIn(takes);
    if (held.length || !takes.many) hand.marks = held;
    else if (hand.marks.length) putMarks(takes, hand.marks);
    offerFor(takes, hand.marks);
    takes.form.querySelector("[data-part='placing-words']")?.addEventListener("draft:restored", () => {
      hand.marks = marksIn(takes);
      offerFor(takes, hand.marks);
      this.tell();
    });
  }

  listen() {
    const tools = this.part("tools");
    tools.hidden = false;
    this.part("keys").hidden = false;
    this.side.addEventListener("click", (event) => {
      const { tool, act } = event.target.closest("button")?.dataset ?? {};
      if (tool) this.chooseTool(hand.tool === tool ? "" : tool);
      if (act) this.act(act);
    });
    watchFolds(this.side);
    this.paper.tabIndex = 0;
    this.paper.setAttribute("role", "application");
    this.paper.setAttribute(
      "aria-label",
      "Body chart. Arrow keys move the crosshair, P, L, A, E and R choose point, line, area, entrance and exit or patterned mark, Enter places, " +
        "Backspace undoes, brackets resize the mark just drawn, Y adds a layer, N and B go to the next and the previous finding, " +
        "V opens the other views, O the opposite one, plus and minus zoom, question mark lists the keys.",
    );
    this.paper.addEventListener("keydown", (event) => keyAct(this, event));
    this.paper.addEventListener("blur", () => this.overlay.crosshair(null));
    this.side.addEventListener("click", (event) => this.tabClick(event));
    watchPointer(this);
  }

  act(name) {
    const acts = {
      nearer: () => this.sight.zoom(1 / 1.5, this.at),
      farther: () => this.sight.zoom(1.5, this.at),
      whole: () => this.sight.all(),
      undo: () => this.undo(),
      finish: () => this.finish(),
    };
    acts[name]?.();
  }

  chooseTool(tool) {
    if (tool && !this.mayDraw) return;
    if (tool !== hand.tool) hand.draft = null;
    hand.tool = tool;
    this.paper.dataset.tool = tool;
    for (const button of this.side.querySelectorAll("[data-tool]")) {
      if (button.tagName === "BUTTON") button.setAttribute("aria-pressed", String(button.dataset.tool === tool));
    }
    this.redraw();
  }

  get tool() {
    return hand.tool;
  }

  /** The unsaved mark that can still be moved. */
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
    else hand.draft.points.push(spot);
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
    const mark = { id: newId(), view: this.view, ...draft, ...(this.isSchematic && { schematic: true }) };
    if (!this.mayLieAt(mark)) {
      this.say("The mark is outside the body. Place it on the drawing.");
      this.redraw();
      return;
    }
    const { takes } = this;
    if (takes && !takes.many) this.keep([{ ...mark, ...(mark.kind === "paired" && { end: takes.form.elements.end?.value }) }]);
    else this.keep(withMark(hand.marks, mark));
    const waits = mark.kind === "paired" && !(takes && !takes.many) && hand.marks.filter((one) => one.kind === "paired").length < 2;
    this.chooseTool(waits ? "paired" : "");
    this.tell();
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

  wordsFor(found) {
    return found.point ? positionWords(this.body, found, this.lengthCm) : partWords(found);
  }

  keep(marks) {
    hand.marks = marks;
    const takes = this.takes;
    if (takes) putMarks(takes, marks);
    this.tell();
    if (!takes && marks.length) this.openForm();
  }

  openForm() {
    const { htmx } = window;
    const url = `${this.side.dataset.newUrl}?view=${this.view}`;
    hand.focus = true;
    htmx.ajax("GET", url, { target: "#chart-work", swap: "outerHTML show:none" });
  }

  move(du, dv) {
    const mark = this.movable;
    if (mark) this.keep([...hand.marks.slice(0, -1), shifted(mark, du, dv)]);
  }

  /** Make the mark just drawn larger or smaller. */
  resize(factor) {
    const mark = this.movable;
    if (mark) this.keep([...hand.marks.slice(0, -1), scaled(mark, factor)]);
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
    if (hand.draft) {
      hand.draft.points.pop();
      if (!hand.draft.points.length) hand.draft = null;
      this.redraw();
    } else if (hand.marks.length) {
      this.keep(hand.marks.slice(0, -1));
    }
  }

  redraw() {
    this.overlay.setUnit(this.sight.unit);
    this.overlay.draw(hand.marks.filter((mark) => mark.view === this.view), hand.draft);
    this.overlay.crosshair(document.activeElement === this.paper ? this.at : null);
    const undo = this.side.querySelector('[data-act="undo"]');
    if (undo) undo.disabled = !hand.draft && !hand.marks.length;
    this.side.toggleAttribute("data-zoomed", !this.sight.isWhole);
    const finish = this.side.querySelector('[data-act="finish"]');
    if (finish) finish.hidden = !hand.draft;
  }

  /** Say where the unsaved mark lies: beside the form, in the foot, to a screen reader. */
  tell() {
    this.redraw();
    const words = this.takes?.form.querySelector('[data-part="placing-words"]');
    const mark = hand.marks.at(-1);
    const found = mark ? this.under(mark) : null;
    if (!words) return;
    if (!found) {
      delete words.dataset.region;
      return;
    }
    const said = this.wordsFor(found);
    words.dataset.region = found.region;
    const count = hand.marks.length > 1 ? `${hand.marks.length} marks, the last: ` : "";
    const kind = count ? kindWord(mark).toLowerCase() : kindWord(mark);
    const term = said[0][0].toLowerCase() + said[0].slice(1);
    const next = hand.tool === "paired" && mark.end === "entrance" ? ". Now touch the far end, in this view or another." : "";
    words.textContent = `${count}${kind}, ${[term, ...said.slice(1, 3)].join(", ")}${next}`;
    const place = this.takes.form.elements.place;
    if (place) place.placeholder = found.place ?? found.term;
    this.foot(said);
  }

  /** The foot: what lies under a page point, or what it said first. */
  look(at) {
    if (!this.body) return;
    const found = at && (this.isSchematic ? partAt(this.svg, at) : pick(this.body, this.view, ...at));
    if (found) this.foot(this.wordsFor(found));
    else if (!hand.marks.length) this.part("foot").replaceChildren(...this.footFirst);
  }

  foot(words) {
    const [first, ...rest] = words;
    const strong = document.createElement("strong");
    strong.textContent = first;
    const spans = rest.map((text) => {
      const span = document.createElement("span");
      span.textContent = text;
      return span;
    });
    this.part("foot").replaceChildren(strong, ...spans);
  }

  say(text) {
    this.part("say").textContent = text;
    const words = this.takes?.form.querySelector('[data-part="placing-words"]');
    if (words && !hand.marks.length) words.textContent = text;
  }

  /* Another view swaps the chart only: the panel keeps what was typed in it. */
  async tabClick(event) {
    const link = event.target.closest("a[data-view-tab]");
    if (!link || event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    const chart = new URL(link.href);
    const stays = hand.focus;
    hand.focus = false;
    if (this.takes || !chart.pathname.endsWith("/chart/")) {
      chart.pathname = chart.pathname.replace(/(\/cases\/[^/]+\/).*$/, "$1chart/");
    }
    let answer;
    try {
      answer = await fetch(chart, { headers: { "HX-Request": "true" } });
    } catch {
      this.say("No connection: this view cannot be loaded now.");
      return;
    }
    if (!answer.ok) return;
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const side = page.querySelector(".chart-side");
    if (!side) return;
    side.dataset.placing = this.side.dataset.placing;
    this.side.replaceWith(side);
    if (!side.dataset.placing) window.history.replaceState(window.history.state, "", chart);
    for (const input of document.querySelectorAll('.panel-form [data-part="view"]')) input.value = side.dataset.view;
    window.htmx.process(side);
    side.dispatchEvent(new CustomEvent("htmx:load", { bubbles: true, detail: { elt: side } }));
    const tab = side.querySelector(`a[data-view-tab="${side.dataset.view}"]`);
    if (stays) side.querySelector("[data-part='paper']").focus({ preventScroll: true });
    else (tab.closest("details")?.querySelector("summary") ?? tab).focus();
  }

  /** Open the finding of a number, as its row in the list does. */
  open(number) {
    document.querySelector(`.finding-row[data-number="${number}"]`)?.click();
  }

  /** Turn to the opposite view and stay on the drawing. */
  turn() {
    hand.focus = true;
    this.part("inset").click();
  }

  /** Go to the next (1) or the previous (-1) finding of the list. */
  step(by) {
    const rows = [...document.querySelectorAll(".finding-row")];
    const now = rows.findIndex((row) => row.hasAttribute("aria-current"));
    const next = rows[now < 0 ? (by > 0 ? 0 : rows.length - 1) : now + by];
    if (!next) return;
    hand.focus = true;
    next.click();
  }
}

widget("body-chart", (side) => {
  const chart = new Chart(side);
  document.querySelector(".finding-row[aria-current]")?.scrollIntoView({ block: "nearest" });
  if (hand.focus) {
    hand.focus = false;
    const form = chart.takes?.form;
    // Whoever was quicker and writes in the form already stays where they write.
    if (form?.contains(document.activeElement)) return;
    const term = form?.elements.term;
    (term && !term.value ? term : chart.paper).focus({ preventScroll: true });
  }
});

/* The course at the left counts findings too. */
document.addEventListener("htmx:load", (event) => {
  const work = event.detail.elt.closest?.("#chart-work");
  const words = document.querySelector(".course a[aria-current] .words");
  if (work?.dataset.words && words) words.textContent = work.dataset.words;
});

/* Arrow keys walk the list, as in any list of choices. */
document.addEventListener("keydown", (event) => {
  const row = event.target.closest?.(".finding-row");
  if (!row || !["ArrowDown", "ArrowUp"].includes(event.key)) return;
  const item = row.parentElement;
  const next = event.key === "ArrowDown" ? item.nextElementSibling : item.previousElementSibling;
  event.preventDefault();
  next?.querySelector("a")?.focus();
});
