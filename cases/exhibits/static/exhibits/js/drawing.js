/* Marks drawn over exhibits in court: by pen, arrow and circle, until the next exhibit.
 *
 * A stroke is a tool and points that are shares of the upright picture. Pressing and letting go is
 * the same by mouse, finger and Enter: what is drawn follows the hand in between.
 */
const SVG = "http://www.w3.org/2000/svg";
export const TOOLS = ["pen", "arrow", "circle"];
// Of a pen's way this is left out, so that a slow hand fills no page.
const NEAR = 0.002;
const MOST_POINTS = 400;
const MOST_STROKES = 60;
const BARB = 0.025;
const HALF_ANGLE = (28 * Math.PI) / 180;

const rounded = (value) => Math.round(value * 100_000) / 100_000;
const far = ([x1, y1], [x2, y2]) => Math.hypot(x2 - x1, y2 - y1);
const made = (name, values, kind) => {
  const shape = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(values)) shape.setAttribute(key, value);
  shape.setAttribute("class", kind);
  return shape;
};

function pathOf(tool, spots, longest) {
  const words = (spot) => spot.map((value) => value.toFixed(1)).join(" ");
  const path = `M${spots.map(words).join("L")}`;
  if (tool !== "arrow") return path;
  const [[x1, y1], [x2, y2]] = spots;
  const back = Math.atan2(y1 - y2, x1 - x2);
  const barb = (turn) => words([x2 + BARB * longest * Math.cos(back + turn), y2 + BARB * longest * Math.sin(back + turn)]);
  return `${path}M${barb(HALF_ANGLE)}L${words(spots[1])}L${barb(-HALF_ANGLE)}`;
}

/* The same shapes as `drawn_shape` in mark_rules.py, each with a dark edge. */
function shapesOf({ tool, points }, width, height) {
  const spots = points.map(([x, y]) => [x * width, y * height]);
  const kinds = ["mark-under", "mark-line"];
  if (tool !== "circle") return kinds.map((kind) => made("path", { d: pathOf(tool, spots, Math.max(width, height)) }, kind));
  const [[x1, y1], [x2, y2]] = spots;
  const box = { cx: (x1 + x2) / 2, cy: (y1 + y2) / 2, rx: Math.abs(x2 - x1) / 2, ry: Math.abs(y2 - y1) / 2 };
  return kinds.map((kind) => made("ellipse", box, kind));
}

export class Drawing {
  constructor() {
    Object.assign(this, { tool: "pen", strokes: [], begun: null });
  }

  get drawing() {
    return this.begun !== null;
  }

  /** What is drawn and not kept yet, by cell. */
  unkept() {
    const found = new Map();
    for (const one of this.strokes) {
      if (!one.kept) found.set(one.cell, [...(found.get(one.cell) ?? []), { tool: one.tool, points: one.points }]);
    }
    return found;
  }

  press(cell, share) {
    if (this.strokes.length >= MOST_STROKES) return;
    this.begun = { cell, tool: this.tool, points: [share.map(rounded)], kept: false };
  }

  move(share) {
    if (!this.begun) return;
    const { tool, points, cell } = this.begun;
    const next = share.map(rounded);
    if (tool !== "pen") points.splice(1, 1, next);
    else if (far(points.at(-1), next) >= NEAR && points.length < MOST_POINTS) points.push(next);
    this.show(cell);
  }

  /** Let go: a stroke that went nowhere is none. Tell whether there is one more. */
  release() {
    const { begun } = this;
    this.begun = null;
    if (!begun) return false;
    const whole = begun.points.length > 1 && begun.points.some((one) => far(one, begun.points[0]) >= NEAR);
    if (whole) this.strokes.push(begun);
    this.show(begun.cell);
    return whole;
  }

  drop() {
    const { begun } = this;
    this.begun = null;
    if (begun) this.show(begun.cell);
  }

  takeBack() {
    const last = this.strokes.pop();
    if (last) this.show(last.cell);
    return Boolean(last);
  }

  clear() {
    const cells = new Set([...this.strokes, this.begun].filter(Boolean).map((one) => one.cell));
    Object.assign(this, { strokes: [], begun: null });
    cells.forEach((cell) => this.show(cell));
  }

  show(cell) {
    const [width, height] = [Number(cell.dataset.width), Number(cell.dataset.height)];
    const strokes = [...this.strokes, this.begun].filter((one) => one?.cell === cell && one.points.length > 1);
    const drawn = strokes.flatMap((one) => shapesOf(one, width, height));
    cell.querySelector('[data-part="marks"]').replaceChildren(...drawn);
  }
}
