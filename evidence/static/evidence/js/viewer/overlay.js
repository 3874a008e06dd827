/* Outlines over the picture: they move with it, their lines and numbers keep their size. */
const SVG = "http://www.w3.org/2000/svg";

export class Overlay {
  constructor(svg, view) {
    this.svg = svg;
    this.view = view;
    this.part = (name) => svg.querySelector(`[data-part="${name}"]`);
    svg.removeAttribute("viewBox");
  }

  draw() {
    this.svg.setAttribute("viewBox", `0 0 ${this.view.stage[0]} ${this.view.stage[1]}`);
    this.part("shapes").setAttribute("transform", `matrix(${this.view.matrix.join(" ")})`);
    for (const pattern of this.svg.querySelectorAll("pattern")) {
      pattern.setAttribute("patternTransform", `scale(${1 / this.view.scale})`);
    }
    for (const pin of this.part("pins").children) {
      const [u, v] = this.view.toStage([Number(pin.dataset.x), Number(pin.dataset.y)]);
      pin.setAttribute("transform", `translate(${u} ${v})`);
    }
  }

  /** Light up one finding, or none. */
  light(finding) {
    for (const drawn of this.svg.querySelectorAll("[data-finding]")) {
      drawn.classList.toggle("is-lit", Boolean(finding) && drawn.dataset.finding === finding);
    }
  }

  /** Show what is being drawn: points of the stage, and the crosshair of who draws by keys. */
  drawn(points, cross) {
    const parts = [];
    if (points.length) {
      const line = points.map(([u, v]) => `${u} ${v}`).join("L");
      parts.push(make("path", { class: "drawn-halo", d: `M${line}${points.length > 2 ? "Z" : ""}` }));
      parts.push(make("path", { class: "drawn-line", d: `M${line}${points.length > 2 ? "Z" : ""}` }));
    }
    // A line drawn in one go has so many corners that only its ends are marked.
    const marked = points.length > 40 ? [points[0], points.at(-1)] : points;
    for (const [u, v] of marked) parts.push(make("circle", { class: "drawn-corner", cx: u, cy: v, r: 4 }));
    if (cross) {
      const [u, v] = cross;
      parts.push(make("path", { class: "drawn-cross", d: `M${u - 18} ${v}H${u - 4}M${u + 4} ${v}H${u + 18}M${u} ${v - 18}V${v - 4}M${u} ${v + 4}V${v + 18}` }));
    }
    this.part("drawn").replaceChildren(...parts);
  }
}

function make(name, attributes) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
}
