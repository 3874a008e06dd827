/** The chart's keys; they work while the chart has the focus. */

const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
const STEP = 8;
const FINE_STEP = 1;

const LETTERS = {
  p: (chart) => chart.chooseTool("point"),
  l: (chart) => chart.chooseTool("line"),
  a: (chart) => chart.chooseTool("area"),
  e: (chart) => chart.chooseTool("paired"),
  r: (chart) => chart.chooseTool("pattern"),
  "]": (chart) => chart.resize(1.1),
  "[": (chart) => chart.resize(1 / 1.1),
  y: (chart) => chart.follow("layer"),
  c: (chart) => chart.follow("change"),
  v: (chart) => chart.unfold("menu"),
  o: (chart) => chart.turn(),
  "?": (chart) => chart.unfold("keys"),
  n: (chart) => chart.step(1),
  b: (chart) => chart.step(-1),
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
  chart.part("say").textContent = chart.part("foot").textContent;
}

function enter(chart) {
  if (!chart.tool && chart.movable) {
    chart.takes?.form.querySelector("input:not([type=hidden]), select, textarea, button")?.focus();
    return;
  }
  if (!chart.tool) chart.chooseTool("point");
  if (!chart.tool) return;
  chart.at ??= middleOf(chart.sight.box);
  chart.addCorner(chart.at);
}

/** Act on a key, if it is one of the chart's. */
export function keyAct(chart, event) {
  const isUndo = (event.ctrlKey || event.metaKey) && event.key.toLowerCase() === "z";
  if (!isUndo && (event.ctrlKey || event.metaKey || event.altKey)) return;
  const letter = LETTERS[event.key.toLowerCase()];
  if (ARROWS[event.key]) arrow(chart, ARROWS[event.key], event.shiftKey);
  else if (event.key === "Enter") enter(chart);
  else if (event.key === "Backspace" || event.key === "Delete" || isUndo) chart.undo();
  else if (event.key === "Escape" && chart.tool) chart.chooseTool("");
  else if (letter) letter(chart);
  else return;
  event.preventDefault();
}
