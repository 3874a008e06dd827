/* What was picked: the scale's points, the object's points, and which one is chosen. */
const MOST = { length: 2, polyline: 200, area: 200, angle: 3 };
const NAMES = {
  length: ["First end", "Second end"],
  angle: ["First leg", "Corner", "Second leg"],
};

const row = (label, mm, px = null) => ({ label, mm, px });
const morePoints = (count) => `${count} more ${count === 1 ? "point" : "points"}`;

export class Points {
  constructor(scales) {
    this.scales = scales;
    this.kind = "length";
    this.object = [];
    this.chosen = { group: "scale", index: 0 };
    this.setScale("straight", { trueMm: 50, width: 80, height: 50 });
  }

  /* Take the rows of a scale; points that were picked stay where the row's place is the same. */
  setScale(name, sizes) {
    const rows = this.rowsOf(name, sizes);
    if (name === this.scaleName) {
      rows.forEach((each, index) => {
        each.px = this.scale[index]?.px ?? null;
      });
      if (name === "own") rows.forEach((each, index) => (each.mm = this.scale[index].mm));
    }
    this.scaleName = name;
    this.scale = rows;
    if (this.chosen.group === "scale" && this.chosen.index >= rows.length) this.chosen.index = 0;
  }

  rowsOf(name, { trueMm, width, height }) {
    if (name === "straight") return [row("One end", [0, 0]), row("Other end", [trueMm, 0])];
    if (name === "rectangle") {
      const corners = [[0, 0], [width, 0], [width, height], [0, height]];
      const names = ["Upper left corner", "Upper right corner", "Lower right corner", "Lower left corner"];
      return corners.map((mm, index) => row(names[index], mm));
    }
    if (name === "own") {
      const marks = [[10, 0], [40, 0], [70, 0], [0, 10], [0, 25], [0, 40]];
      return marks.map((mm, index) => row(`Mark ${index + 1}`, [...mm]));
    }
    const published = this.scales.find((each) => each.name === name);
    return published.points.map((each) => row(each.label, each.mm));
  }

  get most() {
    return MOST[this.kind];
  }

  setKind(kind) {
    this.kind = kind;
    this.object = this.object.slice(0, this.most);
    if (this.chosen.group === "object") this.chosen.index = Math.min(this.object.length, this.most - 1);
  }

  objectLabel(index) {
    return NAMES[this.kind]?.[index] ?? `Point ${index + 1}`;
  }

  places(group) {
    return group === "scale" ? this.scale.map((each) => each.px) : this.object;
  }

  get place() {
    return this.places(this.chosen.group)[this.chosen.index] ?? null;
  }

  /* Put the chosen point somewhere. */
  put(place) {
    const { group, index } = this.chosen;
    if (group === "scale") this.scale[index].px = place;
    else this.object[index] = place;
  }

  /* After a point was placed: the next empty one of the scale, then those of the object. */
  goOn() {
    const empty = this.scale.findIndex((each) => !each.px);
    if (this.chosen.group === "scale" && empty !== -1) this.chosen = { group: "scale", index: empty };
    else this.chooseObject();
  }

  chooseObject() {
    this.chosen = { group: "object", index: Math.min(this.object.length, this.most - 1) };
  }

  remove(group, index) {
    if (group === "scale") this.scale[index].px = null;
    else this.object.splice(index, 1);
    this.chosen = { group, index: group === "scale" ? index : Math.min(index, this.object.length) };
  }

  get isEmpty() {
    return !this.object.length && !this.scale.some((each) => each.px);
  }

  empty() {
    this.object = [];
    this.scale.forEach((each) => (each.px = null));
    this.chosen = { group: "scale", index: 0 };
  }

  step(by) {
    const all = [
      ...this.scale.map((_, index) => ({ group: "scale", index })),
      ...this.object.map((_, index) => ({ group: "object", index })),
    ];
    if (this.object.length < this.most) all.push({ group: "object", index: this.object.length });
    const { group, index } = this.chosen;
    const at = all.findIndex((each) => each.group === group && each.index === index);
    this.chosen = all[(at + by + all.length) % all.length];
  }

  /* A point in words: "First end". */
  label({ group, index } = this.chosen) {
    return group === "scale" ? this.scale[index].label : this.objectLabel(index);
  }

  /* What is picked, so that a step can be taken back. */
  get picked() {
    return JSON.stringify({ scale: this.scale.map((each) => each.px), object: this.object, chosen: this.chosen });
  }

  set picked(before) {
    const { scale, object, chosen } = JSON.parse(before);
    this.scale.forEach((each, index) => (each.px = scale[index] ?? null));
    Object.assign(this, { object, chosen });
  }

  /* What the office is asked to measure. */
  reading({ inPlane, clickPx, scaleMm, tiltDeg, depthMm }) {
    return {
      kind: this.kind,
      scale_kind: this.scaleName === "straight" ? "straight" : "right-angled",
      scale_name: this.scaleName,
      scale_points: this.scale.filter((each) => each.px),
      points: this.object,
      scale_in_plane: inPlane,
      click_px: clickPx,
      scale_mm: scaleMm,
      ...(this.scaleName === "straight" ? { tilt_deg: tiltDeg, depth_mm: depthMm } : {}),
    };
  }

  /* Take over what was sent before, as when the form came back with something to change. */
  restore(reading) {
    const mms = reading.scale_points.map((each) => each.mm);
    const largest = (axis) => Math.max(1, ...mms.map((mm) => mm[axis]));
    const sizes = { trueMm: mms[1]?.[0] ?? 50, width: largest(0), height: largest(1) };
    this.setScale(reading.scale_name, sizes);
    for (const given of reading.scale_points) {
      const there = this.scale.find((each) => each.label === given.label);
      if (there) [there.px, there.mm] = [given.px, given.mm];
    }
    this.kind = reading.kind;
    this.object = reading.points;
    this.chooseObject();
    return sizes;
  }

  /* What still has to be picked, in words; empty when the office can be asked. */
  get lacking() {
    const picked = this.scale.filter((each) => each.px).length;
    const needed = this.scaleName === "straight" ? 2 : 4;
    if (picked < needed) return picked === 0 ? "Pick the scale's points first." : `Pick ${morePoints(needed - picked)} of the scale.`;
    const fewest = this.kind === "area" || this.kind === "angle" ? 3 : 2;
    const left = fewest - this.object.length;
    return left > 0 ? `Pick ${morePoints(left)} of what is measured.` : "";
  }
}
