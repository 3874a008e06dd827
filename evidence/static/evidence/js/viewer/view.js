/* Geometry of looking at a picture: which point of it stands where on the stage. No DOM.
 *
 * The picture has its own points, upright, from the upper left. A view says which of them stands
 * in the middle of the stage, how many screen points one of them takes, and by how many quarters
 * the picture is turned to the right.
 */
const COS = [1, 0, -1, 0];
const SIN = [0, 1, 0, -1];
const LARGEST = 16;

export class View {
  constructor(width, height) {
    this.width = width;
    this.height = height;
    this.stage = [1, 1];
    this.turns = 0;
    this.scale = this.fitScale;
    this.center = [width / 2, height / 2];
  }

  get lying() {
    return this.turns % 2 === 1;
  }

  get fitScale() {
    const [across, down] = this.lying ? [this.height, this.width] : [this.width, this.height];
    return Math.min(this.stage[0] / across, this.stage[1] / down);
  }

  get fits() {
    return this.scale <= this.fitScale * 1.001;
  }

  get measured() {
    return this.stage[0] > 1;
  }

  fit() {
    this.scale = this.fitScale;
    this.center = [this.width / 2, this.height / 2];
  }

  /** Take another size of the stage: what was whole stays whole. */
  resize(across, down) {
    const whole = this.fits || !this.measured;
    this.stage = [across, down];
    if (whole) this.fit();
    else this.settle();
  }

  toStage([x, y]) {
    const dx = (x - this.center[0]) * this.scale;
    const dy = (y - this.center[1]) * this.scale;
    const [cos, sin] = [COS[this.turns], SIN[this.turns]];
    return [this.stage[0] / 2 + dx * cos - dy * sin, this.stage[1] / 2 + dx * sin + dy * cos];
  }

  toPicture([u, v]) {
    const du = (u - this.stage[0] / 2) / this.scale;
    const dv = (v - this.stage[1] / 2) / this.scale;
    const [cos, sin] = [COS[this.turns], SIN[this.turns]];
    return [this.center[0] + du * cos + dv * sin, this.center[1] - du * sin + dv * cos];
  }

  /** The same as six numbers, for a canvas or an SVG group. */
  get matrix() {
    const [cos, sin] = [COS[this.turns] * this.scale, SIN[this.turns] * this.scale];
    const [e, f] = this.toStage([0, 0]);
    return [cos, sin, -sin, cos, e, f];
  }

  /** Change the size, keeping what stands at a point of the stage where it is. */
  zoom(factor, at = [this.stage[0] / 2, this.stage[1] / 2]) {
    const kept = this.toPicture(at);
    const smallest = Math.min(this.fitScale, 1);
    this.scale = Math.min(LARGEST, Math.max(smallest, this.scale * factor));
    const now = this.toPicture(at);
    this.center = [this.center[0] + kept[0] - now[0], this.center[1] + kept[1] - now[1]];
    this.settle();
  }

  /** Move what is seen by screen points. */
  pan(du, dv) {
    const [mu, mv] = [this.stage[0] / 2 - du, this.stage[1] / 2 - dv];
    this.center = this.toPicture([mu, mv]);
    this.settle();
  }

  turn(quarters) {
    const whole = this.fits;
    this.turns = (this.turns + quarters + 4) % 4;
    if (whole) this.fit();
    else this.settle();
  }

  /** The part of the picture in sight: left, top, right, bottom. */
  get sight() {
    const [across, down] = this.stage;
    const corners = [[0, 0], [across, 0], [0, down], [across, down]].map((at) => this.toPicture(at));
    const [xs, ys] = [corners.map(([x]) => x), corners.map(([, y]) => y)];
    return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
  }

  /** Keep the picture on the stage: no empty room where the picture could stand. */
  settle() {
    const [across, down] = this.lying ? [this.stage[1], this.stage[0]] : this.stage;
    this.center = [
      between(this.center[0], across / 2 / this.scale, this.width),
      between(this.center[1], down / 2 / this.scale, this.height),
    ];
  }
}

function between(value, margin, length) {
  return margin * 2 >= length ? length / 2 : Math.min(length - margin, Math.max(margin, value));
}
