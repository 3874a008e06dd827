/** What part of the drawing is in sight: zoom and pan by the SVG's viewBox. */

const CLOSEST = 12;

export class Sight {
  constructor(svg, changed) {
    this.svg = svg;
    this.whole = svg.getAttribute("viewBox").split(/\s+/).map(Number);
    this.box = [...this.whole];
    this.changed = changed;
  }

  /** One thousandth of the height in sight. */
  get unit() {
    return this.box[3] / 1000;
  }

  /** How many times larger than in the whole view. */
  get times() {
    return this.whole[3] / this.box[3];
  }

  get isWhole() {
    return this.box[3] >= this.whole[3] - 1e-6;
  }

  /** The page point under a point of the screen. */
  pagePoint(x, y) {
    const matrix = this.svg.getScreenCTM();
    if (!matrix) return null;
    const { x: u, y: v } = new DOMPoint(x, y).matrixTransform(matrix.inverse());
    return [u, v];
  }

  /** Show `factor` times as much, keeping a page point where it is. */
  zoom(factor, around) {
    const [x, y, width, height] = this.box;
    const [u, v] = around ?? [x + width / 2, y + height / 2];
    const next = Math.min(this.whole[3], Math.max(this.whole[3] / CLOSEST, height * factor));
    const scale = next / height;
    this.show([u - (u - x) * scale, v - (v - y) * scale, width * scale, next]);
  }

  /** Move what is in sight by page units. */
  pan(du, dv) {
    this.show([this.box[0] + du, this.box[1] + dv, this.box[2], this.box[3]]);
  }

  /** Keep a page point in sight. */
  follow([u, v]) {
    const [x, y, width, height] = this.box;
    const edge = height * 0.06;
    const du = Math.min(0, u - edge - x) + Math.max(0, u + edge - x - width);
    const dv = Math.min(0, v - edge - y) + Math.max(0, v + edge - y - height);
    if (!this.isWhole && (du || dv)) this.pan(du, dv);
  }

  all() {
    this.show([...this.whole]);
  }

  show([x, y, width, height]) {
    const [left, top, wide, high] = this.whole;
    this.box = [
      Math.min(Math.max(x, left), left + wide - width),
      Math.min(Math.max(y, top), top + high - height),
      width,
      height,
    ];
    this.svg.setAttribute("viewBox", this.box.join(" "));
    this.changed();
  }
}
