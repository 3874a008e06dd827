/* Where things lie on the courtroom screen: pictures in their cells, a place under the pointer. */

const within = (value) => Math.min(1, Math.max(0, value));

/** The box that a cell's picture fills on the screen, enlarged or not. */
export function pictureBox(cell) {
  const box = cell.getBoundingClientRect();
  const [width, height] = [Number(cell.dataset.width), Number(cell.dataset.height)];
  const scale = Math.min(box.width / width, box.height / height) || 0;
  return {
    left: box.left + (box.width - width * scale) / 2,
    top: box.top + (box.height - height * scale) / 2,
    width: width * scale,
    height: height * scale,
    scale,
  };
}

/** A place of the screen as shares of a cell's upright picture, kept inside it. */
export function shareOf(cell, [left, top]) {
  const box = pictureBox(cell);
  return [within((left - box.left) / box.width), within((top - box.top) / box.height)];
}

/** Where a share of a cell's picture lies on the screen. */
export function placeOf(cell, [across, down]) {
  const box = pictureBox(cell);
  return [box.left + across * box.width, box.top + down * box.height];
}

/** The cell whose picture lies at a place of the screen, or nearest to it. */
export function cellAt(cells, [left, top]) {
  const away = (cell) => {
    const box = pictureBox(cell);
    return Math.hypot(
      Math.max(box.left - left, 0, left - box.left - box.width),
      Math.max(box.top - top, 0, top - box.top - box.height),
    );
  };
  return cells.reduce((best, cell) => (best && away(best) <= away(cell) ? best : cell), null);
}

/** What a pointer, a magnifier or a drawing hand stands on: a share of one exhibit's frame. */
export class Spot {
  constructor() {
    this.back();
  }

  /** In the middle of the first frame. */
  back() {
    Object.assign(this, { frame: 0, across: 0.5, down: 0.5 });
  }

  /** Moved by shares; over the edge of one frame lies the next one. */
  step([across, down], frames) {
    const boxes = frames.map((one) => one.getBoundingClientRect());
    const beside = boxes.length > 1 && boxes[1].left >= boxes[0].right - 1;
    const next = (at, by, sideways) => {
      const moved = at + by;
      const turn = moved > 1 ? 1 : moved < 0 ? -1 : 0;
      const free = turn && boxes[this.frame + turn] && beside === sideways;
      if (!free) return within(moved);
      this.frame += turn;
      return within(moved - turn);
    };
    this.across = next(this.across, across, true);
    this.down = next(this.down, down, false);
  }

  /** To a place of the screen. */
  to([left, top], frames) {
    const boxes = frames.map((one) => one.getBoundingClientRect());
    const on = boxes.findIndex((box) => left >= box.left && left < box.right && top >= box.top && top < box.bottom);
    this.frame = on >= 0 ? on : Math.min(this.frame, frames.length - 1);
    const box = boxes[this.frame];
    this.across = within((left - box.left) / box.width);
    this.down = within((top - box.top) / box.height);
  }

  /** Where it lies on the screen. */
  at(frames) {
    const box = frames[Math.min(this.frame, frames.length - 1)].getBoundingClientRect();
    return [box.left + this.across * box.width, box.top + this.down * box.height];
  }
}
