/**
 * From a point on a view's page to a point on the body surface, and back.
 *
 * The server's `findings/body/picking.py` gives the same answers: both work with the surface's whole
 * tenths of a unit, in the same order of operations, and a file of shared vectors holds them
 * together. Units are thousandths of crown-heel length; x to the body's left, y anterior, z up.
 *
 *     const body = await loadBody("adult_male", (path) => base + path);
 *     const found = pick(body, "anterior", -72, 290);  // or null
 *     found.point, found.region, found.term, found.place, found.side, found.normal
 *     visibleIn(body, found.point, found);             // [{view, u, v}, ...]
 */
import { placeWords, sideOf } from "./midline.js";

const EDGE = 1e-9;
const TENTHS = 10;
const CROWN_HEEL = 1000;
const TRIANGLES_PER_CELL = 1.5;
const SAME_SURFACE_WITHIN = 1;
const FACES_VIEWER = 0.05;

/** Something was asked of the body geometry that it cannot answer. */
export class BodyGeometryError extends Error {}

/**
 * Load a body. `urlOf(path)` turns "catalogue.json", "mesh/topology.bin" or "mesh/<body>.i16" into
 * an address; `read(url)` answers with an ArrayBuffer and is `fetch` unless given.
 */
export async function loadBody(key, urlOf, read = readByFetch) {
  const [catalogueBytes, topologyBytes, vertexBytes] = await Promise.all([
    read(urlOf("catalogue.json")),
    read(urlOf("mesh/topology.bin")),
    read(urlOf(`mesh/${key}.i16`)),
  ]);
  const catalogue = JSON.parse(new TextDecoder().decode(catalogueBytes));
  return bodyFrom(key, catalogue, topologyBytes, vertexBytes);
}

/** A body from the content of its three files. */
export function bodyFrom(key, catalogue, topologyBytes, vertexBytes) {
  const model = catalogue.bodies[key];
  if (!model) throw new BodyGeometryError(`There is no body called “${key}”.`);
  const topology = readTopology(topologyBytes);
  return {
    key,
    title: model.title,
    boxes: model.view_boxes,
    fadedAbove: model.faded_above,
    landmarks: model.landmarks,
    views: new Map(catalogue.views.map((view) => [view.key, readView(view)])),
    regions: new Map(catalogue.regions.map((region) => [region.id, region])),
    midlinePlaces: catalogue.midline_places,
    topology,
    vertices: new Int16Array(vertexBytes),
    projections: new Map(),
    schematics: new Set(catalogue.schematics.map((row) => row.key)),
  };
}

/** The surface point under page point (u, v), or null where no surface is drawn. */
export function pick(body, viewKey, u, v) {
  if (!Number.isFinite(u) || !Number.isFinite(v)) {
    throw new BodyGeometryError("A page point needs two finite numbers.");
  }
  // Schematic drawings have parts, but no surface.
  if (body.schematics.has(viewKey)) return null;
  const view = viewOf(body, viewKey);
  const [left, top, width, height] = body.boxes[viewKey];
  if (u < left || u > left + width || v < top || v > top + height) return null;
  const page = projectionOf(body, viewKey);
  const up = (view.up.index === 2 ? CROWN_HEEL - v : -v) * TENTHS;
  const hit = nearest(body, page, u * TENTHS, up);
  return hit && describe(body, view, page, hit);
}

/**
 * Every view in which a surface point can be seen, as {view, u, v}. The point's outward `normal`
 * and its `region` key help to tell the two faces of thin parts apart.
 */
export function visibleIn(body, point, { normal = null, region = null } = {}) {
  const seen = [];
  for (const view of body.views.values()) {
    if (normal && along(view.toward, normal) < FACES_VIEWER) continue;
    if (region && !view.shows(regionByKey(body, region))) continue;
    const [u, v] = project(view, point);
    if (v < (body.fadedAbove[view.key] ?? -Infinity)) continue;
    const found = pick(body, view.key, u, v);
    if (!found) continue;
    const away = Math.hypot(...found.point.map((value, axis) => value - point[axis]));
    if (away <= SAME_SURFACE_WITHIN) seen.push({ view: view.key, u, v });
  }
  return seen;
}

/** Where a point in space lies on the page of a view, as [u, v]. */
export function pagePoint(body, viewKey, point) {
  return project(viewOf(body, viewKey), point);
}

async function readByFetch(url) {
  const response = await fetch(url);
  if (!response.ok) throw new BodyGeometryError(`The body surface could not be loaded: ${url}`);
  return response.arrayBuffer();
}

function readTopology(bytes) {
  const header = new DataView(bytes);
  if (header.getUint32(0, false) !== 0x424f4459) {
    throw new BodyGeometryError("topology.bin is not a body topology.");
  }
  const vertices = header.getUint32(4, true);
  const quads = header.getUint32(8, true);
  const pairs = header.getUint32(12, true);
  let at = 16;
  const quadVertices = new Uint16Array(bytes, at, quads * 4);
  at += quads * 8;
  const quadRegions = new Uint8Array(bytes, at, quads);
  at += quads;
  const counts = new Uint8Array(bytes, at, vertices);
  at += vertices;
  const weightRegions = new Uint8Array(bytes, at, pairs);
  at += pairs;
  const weights = new Uint8Array(bytes, at, pairs);
  const weightStarts = new Uint32Array(vertices + 1);
  for (let i = 0; i < vertices; i += 1) weightStarts[i + 1] = weightStarts[i] + counts[i];
  return { quads, quadVertices, quadRegions, weightStarts, weightRegions, weights };
}

function readAxis(name) {
  return { index: "xyz".indexOf(name.at(-1)), sign: name.startsWith("-") ? -1 : 1 };
}

function readView(row) {
  const shown = row.shown === "all" ? null : new Set(row.shown);
  const hidden = new Set(row.hidden);
  return {
    key: row.key,
    title: row.title,
    u: readAxis(row.u),
    up: readAxis(row.up),
    toward: readAxis(row.toward),
    shows(region) {
      const base = region.side === "midline" ? region.key : region.key.slice(0, -2);
      if (shown && !shown.has(base)) return false;
      if (hidden.has(base)) return false;
      return row.side === "both" || row.side === region.side;
    },
  };
}

function viewOf(body, key) {
  const view = body.views.get(key);
  if (!view) throw new BodyGeometryError(`There is no view called “${key}”.`);
  return view;
}

function regionByKey(body, key) {
  for (const region of body.regions.values()) if (region.key === key) return region;
  throw new BodyGeometryError(`There is no body region called “${key}”.`);
}

function along(axis, point) {
  return axis.sign * point[axis.index];
}

function project(view, point) {
  const up = along(view.up, point);
  return [along(view.u, point), view.up.index === 2 ? CROWN_HEEL - up : -up];
}

/** The three vertex numbers of triangle t: quad (a, b, c, d) is (a, b, c) and (a, c, d). */
function triangleVertices(topology, t) {
  const at = (t >> 1) * 4;
  const quad = topology.quadVertices;
  return t & 1 ? [quad[at], quad[at + 2], quad[at + 3]] : [quad[at], quad[at + 1], quad[at + 2]];
}

function triangleNormal(body, t) {
  const [a, b, c] = triangleVertices(body.topology, t).map((vertex) => vertex * 3);
  const at = body.vertices;
  const bx = at[b] - at[a];
  const by = at[b + 1] - at[a + 1];
  const bz = at[b + 2] - at[a + 2];
  const cx = at[c] - at[a];
  const cy = at[c + 1] - at[a + 1];
  const cz = at[c + 2] - at[a + 2];
  return [by * cz - bz * cy, bz * cx - bx * cz, bx * cy - by * cx];
}

/** The triangles that face the viewer, sorted into a grid of square cells. Made once a view. */
function projectionOf(body, viewKey) {
  let page = body.projections.get(viewKey);
  if (!page) {
    page = inGrid(body, viewOf(body, viewKey), facingTriangles(body, viewOf(body, viewKey)));
    body.projections.set(viewKey, page);
  }
  return page;
}

function facingTriangles(body, view) {
  const { topology, vertices } = body;
  const { quadVertices, quadRegions } = topology;
  const { index, sign } = view.toward;
  const [one, other] = [(index + 1) % 3, (index + 2) % 3];
  const drawn = new Uint8Array(256);
  for (const region of body.regions.values()) drawn[region.id] = view.shows(region) ? 1 : 0;
  const numbers = [];
  for (let t = 0; t < topology.quads * 2; t += 1) {
    const quad = t >> 1;
    if (!drawn[quadRegions[quad]]) continue;
    // Of the normal only what points at the viewer.
    const a = quadVertices[quad * 4] * 3;
    const b = quadVertices[quad * 4 + 1 + (t & 1)] * 3;
    const c = quadVertices[quad * 4 + 2 + (t & 1)] * 3;
    const b1 = vertices[b + one] - vertices[a + one];
    const b2 = vertices[b + other] - vertices[a + other];
    const c1 = vertices[c + one] - vertices[a + one];
    const c2 = vertices[c + other] - vertices[a + other];
    if (sign * (b1 * c2 - b2 * c1) > 0) numbers.push(t);
  }
  return numbers;
}

function inGrid(body, view, numbers) {
  const count = numbers.length;
  // u, up, toward of three corners each, in tenths of a unit.
  const corners = new Int16Array(count * 9);
  let [left, bottom, right, top] = [Infinity, Infinity, -Infinity, -Infinity];
  for (let i = 0; i < count; i += 1) {
    const t = numbers[i];
    for (let corner = 0; corner < 3; corner += 1) {
      const vertex = body.topology.quadVertices[(t >> 1) * 4 + corner + (corner && t & 1)] * 3;
      const at = i * 9 + corner * 3;
      const u = view.u.sign * body.vertices[vertex + view.u.index];
      const up = view.up.sign * body.vertices[vertex + view.up.index];
      corners[at] = u;
      corners[at + 1] = up;
      corners[at + 2] = view.toward.sign * body.vertices[vertex + view.toward.index];
      if (u < left) left = u;
      if (u > right) right = u;
      if (up < bottom) bottom = up;
      if (up > top) top = up;
    }
  }
  const width = right - left;
  const height = top - bottom;
  const cell = Math.max(1, Math.sqrt((width * height * TRIANGLES_PER_CELL) / count));
  const grid = { corners, numbers: Uint32Array.from(numbers), left, bottom, cell };
  grid.columns = Math.floor(width / cell) + 1;
  grid.rows = Math.floor(height / cell) + 1;
  return withCells(grid, count);
}

function withCells(grid, count) {
  const { corners, left, bottom, cell, columns, rows } = grid;
  const starts = new Uint32Array(columns * rows + 1);
  const eachCell = (i, act) => {
    const at = i * 9;
    const least = (k) => Math.min(corners[at + k], corners[at + k + 3], corners[at + k + 6]);
    const most = (k) => Math.max(corners[at + k], corners[at + k + 3], corners[at + k + 6]);
    const firstColumn = Math.floor((least(0) - left) / cell);
    const lastColumn = Math.floor((most(0) - left) / cell);
    const lastRow = Math.floor((most(1) - bottom) / cell);
    for (let row = Math.floor((least(1) - bottom) / cell); row <= lastRow; row += 1) {
      for (let column = firstColumn; column <= lastColumn; column += 1) act(row * columns + column);
    }
  };
  for (let i = 0; i < count; i += 1) {
    eachCell(i, (number) => {
      starts[number + 1] += 1;
    });
  }
  for (let i = 0; i < columns * rows; i += 1) starts[i + 1] += starts[i];
  const next = starts.slice();
  const items = new Uint32Array(starts[columns * rows]);
  for (let i = 0; i < count; i += 1) {
    eachCell(i, (number) => {
      items[next[number]] = i;
      next[number] += 1;
    });
  }
  return { ...grid, starts, items };
}

function nearest(body, page, u, up) {
  const column = Math.floor((u - page.left) / page.cell);
  const row = Math.floor((up - page.bottom) / page.cell);
  if (column < 0 || column >= page.columns || row < 0 || row >= page.rows) return null;
  const cell = row * page.columns + column;
  const at = page.corners;
  let best = null;
  let bestDepth = -Infinity;
  for (let entry = page.starts[cell]; entry < page.starts[cell + 1]; entry += 1) {
    const index = page.items[entry];
    const a = index * 9;
    const bu = at[a + 3] - at[a];
    const bup = at[a + 4] - at[a + 1];
    const cu = at[a + 6] - at[a];
    const cup = at[a + 7] - at[a + 1];
    const pu = u - at[a];
    const pup = up - at[a + 1];
    const area = bu * cup - bup * cu;
    const second = (pu * cup - pup * cu) / area;
    const third = (bu * pup - bup * pu) / area;
    const first = 1 - second - third;
    if (first < -EDGE || second < -EDGE || third < -EDGE) continue;
    const depth = first * at[a + 2] + second * at[a + 5] + third * at[a + 8];
    if (depth > bestDepth) {
      bestDepth = depth;
      best = { index, weights: [first, second, third] };
    }
  }
  return best;
}

function describe(body, view, page, { index, weights }) {
  const at = index * 9;
  const point = [0, 0, 0];
  [view.u, view.up, view.toward].forEach((axis, k) => {
    const value =
      (weights[0] * page.corners[at + k] +
        weights[1] * page.corners[at + 3 + k] +
        weights[2] * page.corners[at + 6 + k]) /
      TENTHS;
    point[axis.index] = axis.sign * value;
  });
  const number = page.numbers[index];
  const across = triangleNormal(body, number);
  const length = Math.hypot(...across);
  const region = regionAt(body, number, weights);
  return {
    point,
    region: region.key,
    term: region.term,
    place: placeWords(body, region, point),
    side: region.side === "midline" ? sideOf(point[0]) : region.side,
    normal: across.map((value) => value / length),
  };
}

/** The region with the greatest weight at a point; the lower number wins a tie. */
function regionAt(body, triangle, weights) {
  const { weightStarts, weightRegions, weights: shares } = body.topology;
  const sums = new Map();
  triangleVertices(body.topology, triangle).forEach((vertex, corner) => {
    for (let entry = weightStarts[vertex]; entry < weightStarts[vertex + 1]; entry += 1) {
      const id = weightRegions[entry];
      sums.set(id, (sums.get(id) ?? 0) + weights[corner] * shares[entry]);
    }
  });
  let best = null;
  for (const [id, sum] of sums) {
    if (best === null || sum > sums.get(best) || (sum === sums.get(best) && id < best)) best = id;
  }
  return body.regions.get(best);
}
