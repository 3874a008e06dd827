/** The chart's keys; they work while the chart has the focus. */

import { arrow, command, pressed } from "../../shell/js/keys.js";
import { hand } from "./hand.js";
import { step } from "./rows.js";

const STEP = 2;
const FAR = 8;

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
  "-": (chart) => chart.act("farther"),
  0: (chart) => chart.act("whole"),
};

function middleOf([x, y, width, height]) {
  return [x + width / 2, y + height / 2];
}

function go(chart, [right, down]) {
  const step = STEP * chart.sight.unit;
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
  const key = pressed(event);
  const asked = command(event);
  if (!key && !asked) return;
  // A held key is one step; each press is one of its own.
  if (!event.repeat) hand.steps.settle();
  const letter = LETTERS[key];
  const way = arrow(event, FAR);
  if (way) go(chart, way);
  else if (key === "Enter") enter(chart);
  else if (asked === "redo") chart.redo();
  else if (key === "Backspace" || key === "Delete" || asked === "undo") chart.undo();
  else if (key === "Escape" && chart.tool) chart.takeTool("");
  else if (letter) letter(chart);
  else return;
  event.preventDefault();
}
