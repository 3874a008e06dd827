/** What is being drawn: corners set one by one, or a stroke of a pen. No DOM. */

export const FEWEST = { point: 1, line: 2, area: 3, paired: 1, pattern: 3 };
const ONE_PLACE = new Set(["point", "paired"]);
const FAR_ENDS = new Set(["exit", "recovered"]);
const MOST = 300;

/** A page point to a tenth: finer than a pen, and the same number on the server. */
export function rounded([u, v]) {
  return [Math.round(u * 10) / 10, Math.round(v * 10) / 10];
}

/** Fewer points for the same stroke (Douglas and Peucker, within `tolerance` page units). */
export function simplified(points, tolerance) {
  if (points.length < 3) return points;
  const keep = new Uint8Array(points.length);
  keep[0] = 1;
  keep[points.length - 1] = 1;
  const spans = [[0, points.length - 1]];
  while (spans.length) {
    const [first, last] = spans.pop();
    let [worst, index] = [tolerance, -1];
    for (let i = first + 1; i < last; i += 1) {
      const away = distanceToSegment(points[i], points[first], points[last]);
      if (away > worst) [worst, index] = [away, i];
    }
    if (index > 0) {
      keep[index] = 1;
      spans.push([first, index], [index, last]);
    }
  }
  return points.filter((_, i) => keep[i]).slice(0, MOST);
}

function distanceToSegment(point, start, end) {
  const [du, dv] = [end[0] - start[0], end[1] - start[1]];
  const long = du * du + dv * dv;
  const share = long ? Math.max(0, Math.min(1, ((point[0] - start[0]) * du + (point[1] - start[1]) * dv) / long)) : 0;
  return Math.hypot(point[0] - start[0] - du * share, point[1] - start[1] - dv * share);
}

/** A mark moved by (du, dv). */
export function shifted(mark, du, dv) {
  return { ...mark, points: mark.points.map(([u, v]) => rounded([u + du, v + dv])) };
}

/** A mark made `factor` times as large about its middle; a single place has no size. */
export function scaled(mark, factor) {
  if (mark.points.length < 2) return mark;
  const mean = [0, 1].map((axis) => mark.points.reduce((sum, at) => sum + at[axis], 0) / mark.points.length);
  const points = mark.points.map((at) => rounded([0, 1].map((axis) => mean[axis] + (at[axis] - mean[axis]) * factor)));
  return { ...mark, points };
}

/** Whether corners are enough for a mark of this kind. */
export function isEnough(kind, points) {
  return points.length >= FEWEST[kind];
}

/** Whether a mark of this kind is one place, set by one touch. */
export function isOnePlace(kind) {
  return ONE_PLACE.has(kind);
}

/** Whether a mark is the far end of a pair: the exit, or where an object was recovered. */
export function isFarEnd(mark) {
  return FAR_ENDS.has(mark.end);
}

/** Marks with one more: the ends of a pair replace those that stand, entrance first. */
export function withMark(marks, mark) {
  if (mark.kind !== "paired") return [...marks, mark];
  const hasEntrance = marks.some((one) => one.end === "entrance");
  const end = mark.end || (hasEntrance ? "exit" : "entrance");
  const others = marks.filter((one) => one.kind !== "paired" || (end === "entrance") !== (one.end === "entrance"));
  return [...others, { ...mark, end }];
}
