/** The chart's keys; they work while the chart has the focus. */

import { hand } from "./hand.js";
import { step } from "./rows.js";

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const STEP = 8;
const FINE_STEP = 1;

const LETTERS = {
  p: (chart) => chart.takeTool("point"),
  l: (chart) => chart.takeTool("line"),
  a: (chart) => chart.takeTool("area"),
  e: (chart) => chart.takeTool("paired"),
  r: (chart) => chart.takeTool("pattern"),
  "]": (chart) => chart.resize(1.1),
  "[": (chart) => chart.resize(1 / 1.1),
  y: (chart) => chart.follow("layer"),
  c: (chart) => chart.follow("change"),
  v: (chart) => chart.unfold("menu"),
  o: (chart) => chart.turn(),
  "?": (chart) => chart.unfold("keys"),
  n: () => step(1),
  b: () => step(-1),
  "+": (chart) => chart.act("nearer"),
  "=": (chart) => chart.act("nearer"),
  "-": (chart) => chart.act("farther"),
  0: (chart) => chart.act("whole"),
};

function middleOf([x, y, width, height]) {
  return [x + width / 2, y + height / 2];
}

function arrow(chart, [right, down], fine) {
  const step = (fine ? FINE_STEP : STEP) * chart.sight.unit;
  if (!chart.tool && chart.movable) {
    chart.move(right * step, down * step);
    chart.sayMoved();
    return;
  }
  const [u, v] = chart.at ?? middleOf(chart.sight.box);
  const [x, y, width, height] = chart.sight.whole;
  chart.at = [
    Math.min(x + width, Math.max(x, u + right * step)),
    Math.min(y + height, Math.max(y, v + down * step)),
  ];
  chart.sight.follow(chart.at);
  chart.redraw();
  chart.look(chart.at);
  chart.sayAt();
}

/* What can be filled in first: fields of other kinds of mark are put away. */
function firstField(form) {
  const open = [...(form?.elements ?? [])].filter((one) => one.type !== "hidden" && one.checkVisibility());
  return open.find((one) => one.name === "term" && !one.value) ?? open[0];
}

function enter(chart) {
  if (!chart.tool && chart.movable) {
    firstField(chart.takes?.form)?.focus();
    return;
  }
  if (!chart.tool) chart.chooseTool("point");
  if (!chart.tool) return;
  chart.at ??= middleOf(chart.sight.box);
  chart.addCorner(chart.at);
}

/** Act on a key, if it is one of the chart's. */
export function keyAct(chart, event) {
  const key = event.key.toLowerCase();
  const withCommand = event.ctrlKey || event.metaKey;
  const isRedo = withCommand && (key === "y" || (event.shiftKey && key === "z"));
  const isUndo = withCommand && key === "z" && !event.shiftKey;
  if (!isUndo && !isRedo && (withCommand || event.altKey)) return;
  // A held key is one step; each press is one of its own.
  if (!event.repeat) hand.steps.settle();
  const letter = LETTERS[key];
  if (ARROWS[event.key]) arrow(chart, ARROWS[event.key], event.shiftKey);
  else if (event.key === "Enter") enter(chart);
  else if (isRedo) chart.redo();
  else if (event.key === "Backspace" || event.key === "Delete" || isUndo) chart.undo();
  else if (event.key === "Escape" && chart.tool) chart.takeTool("");
  else if (letter) letter(chart);
  else return;
  event.preventDefault();
}
