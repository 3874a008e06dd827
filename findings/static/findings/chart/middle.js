/**
 * The middle of a mark, from which its region and position are derived. The server's
 * `findings/chart/placing.py` does the same, and derives everything again when a mark is saved.
 */
import { pick } from "../body/picking.js";
import { describe } from "../body/position.js";

/** The middle: the point itself, half way along a line, the centroid of an area. */
export function middle(kind, points) {
  if (kind === "line" && points.length > 1) return halfWay(points);
  if ((kind === "area" || kind === "pattern") && points.length > 2) return centroid(points);
  return points[0];
}

function halfWay(points) {
  const length = (i) => Math.hypot(points[i + 1][0] - points[i][0], points[i + 1][1] - points[i][1]);
  let left = 0;
  for (let i = 0; i + 1 < points.length; i += 1) left += length(i) / 2;
  for (let i = 0; i + 1 < points.length; i += 1) {
    const long = length(i);
    if (long > 0 && left <= long) {
      const share = left / long;
      return [0, 1].map((axis) => points[i][axis] + (points[i + 1][axis] - points[i][axis]) * share);
    }
    left -= long;
  }
  return points.at(-1);
}

function centroid(points) {
  const [u0, v0] = points[0];
  let [twice, u, v] = [0, 0, 0];
  points.forEach(([au, av], i) => {
    const [bu, bv] = points[(i + 1) % points.length];
    const cross = (au - u0) * (bv - v0) - (bu - u0) * (av - v0);
    twice += cross;
    u += (au + bu - 2 * u0) * cross;
    v += (av + bv - 2 * v0) * cross;
  });
  if (Math.abs(twice) < 1e-6) return points[0];
  return [u0 + u / (3 * twice), v0 + v / (3 * twice)];
}

/** The surface under the middle of a mark, or under the first of its points that has one. */
export function pickMark(body, { view, kind, points }) {
  for (const [u, v] of [middle(kind, points), ...points]) {
    const found = pick(body, view, u, v);
    if (found) return found;
  }
  return null;
}

/** Where a picked point lies, as `spoken.js` takes it. */
export function whereOf(found, lengthCm) {
  if (!found.point) return { place: found.term[0].toUpperCase() + found.term.slice(1), schematic: true };
  const position = describe(found.point, lengthCm, found.normal);
  const signed = position.side === "left" ? position.midlineOffsetCm : -position.midlineOffsetCm;
  const measured = position.midlineOffsetCm !== null;
  return {
    place: found.place,
    aboveHeelCm: position.heightAboveHeelCm,
    fromMidlineCm: !measured ? null : position.side === "midline" ? 0 : signed,
    midline: position.midline,
    lengthCm,
  };
}

/** The share of the body surface that a region has, in words; empty for a schematic drawing. */
export function shareWords(body, found) {
  const region = [...body.regions.values()].find((one) => one.key === found.region);
  const share = region?.area_percent?.[body.key];
  return share ? `region ${share.toFixed(1)} % of surface` : "";
}

/** The part of a schematic drawing under a page point, topmost first; these have no surface. */
export function partAt(svg, [u, v]) {
  const paths = [...svg.querySelectorAll(".body-drawing [data-part]")].reverse();
  const path = paths.find((one) => one.isPointInFill(new DOMPoint(u, v)));
  return path ? { region: path.dataset.part, term: path.dataset.term } : null;
}

/** The part under the middle of a mark, or under the first of its points that has one. */
export function partOfMark(svg, { kind, points }) {
  for (const at of [middle(kind, points), ...points]) {
    const found = partAt(svg, at);
    if (found) return found;
  }
  return null;
}
