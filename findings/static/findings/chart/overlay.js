/** What is not saved yet, drawn over the chart: unsaved marks, corners, the crosshair. */

const SVG = "http://www.w3.org/2000/svg";

function make(name, attributes, parent) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  parent.append(element);
  return element;
}

export class Overlay {
  constructor(svg) {
    this.svg = svg;
    this.group = make("g", { class: "overlay" }, svg);
    this.cross = make("path", { class: "crosshair chart-hidden" }, svg);
    this.unit = 1;
  }

  /** One page unit for each thousandth of what is in sight: lines stay thin when zoomed in. */
  setUnit(unit) {
    this.unit = unit;
  }

  /** Draw unsaved marks and the corners of the one in the making. */
  draw(marks, draft) {
    this.group.replaceChildren();
    this.join(marks.filter((mark) => mark.kind === "paired"));
    for (const mark of marks) this.mark(mark, "pending");
    if (draft && draft.points.length) {
      this.mark({ ...draft, kind: draft.points.length > 1 ? "line" : "point" }, "pending pending-draft");
      for (const [u, v] of draft.points) this.corner(u, v);
    }
  }

  mark({ kind, points }, css) {
    const width = 2 * this.unit;
    if (kind === "point" || points.length === 1) {
      const [u, v] = points[0];
      make("circle", { class: css, cx: u, cy: v, r: 6 * this.unit, "stroke-width": width }, this.group);
      make("circle", { class: `${css} pending-line`, cx: u, cy: v, r: 12 * this.unit, "stroke-width": width / 2 }, this.group);
      return;
    }
    const path = `M${points.map(([u, v]) => `${u} ${v}`).join("L")}${kind === "area" || kind === "pattern" ? "Z" : ""}`;
    const open = kind === "line" ? " pending-line" : "";
    make("path", { class: css + open, d: path, "stroke-width": width * (open ? 1.5 : 1) }, this.group);
  }

  /* Both ends of a pair in one view are joined, as on the saved chart. */
  join(ends) {
    if (ends.length < 2) return;
    const d = `M${ends.map(({ points: [[u, v]] }) => `${u} ${v}`).join("L")}`;
    make("path", { class: "pending pending-line pending-join", d, "stroke-width": this.unit }, this.group);
  }

  corner(u, v) {
    make("circle", { class: "pending pending-corner", cx: u, cy: v, r: 3 * this.unit, "stroke-width": this.unit }, this.group);
  }

  /** Show the crosshair at a page point, or hide it. */
  crosshair(at) {
    this.cross.classList.toggle("chart-hidden", !at);
    if (!at) return;
    const [u, v] = at;
    const [near, far] = [4 * this.unit, 18 * this.unit];
    this.cross.setAttribute(
      "d",
      `M${u - far} ${v}H${u - near}M${u + near} ${v}H${u + far}M${u} ${v - far}V${v - near}M${u} ${v + near}V${v + far}`,
    );
    this.cross.setAttribute("stroke-width", 1.8 * this.unit);
  }
}
