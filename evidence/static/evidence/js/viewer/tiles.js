/* The squares of a large photograph: which are needed for a view, and their loading. */
const KEPT = 260;
const AT_ONCE = 6;

/** The level whose points are just fine enough, or null when the screen copy is. */
export function levelFor(view, plan, density, copyScale) {
  const fineness = view.scale * density;
  if (!plan.levels.length || copyScale >= Math.min(1, fineness) * 0.98) return null;
  const level = Math.floor(Math.log2(1 / fineness) + 0.02);
  return Math.min(plan.levels.length - 1, Math.max(0, level));
}

/** The squares of a level that are in sight, those in the middle first. */
export function squaresInSight(view, plan, level) {
  const side = plan.side * 2 ** level;
  const [columns, rows] = plan.levels[level];
  const [left, top, right, bottom] = view.sight;
  const found = [];
  for (let row = Math.max(0, Math.floor(top / side)); row < rows && row * side < bottom; row += 1) {
    for (let column = Math.max(0, Math.floor(left / side)); column < columns && column * side < right; column += 1) {
      found.push({ level, column, row, x: column * side, y: row * side, points: 2 ** level });
    }
  }
  const [cx, cy] = view.center;
  const far = ({ x, y }) => Math.hypot(x + side / 2 - cx, y + side / 2 - cy);
  return found.sort((one, other) => far(one) - far(other));
}

export class Squares {
  constructor(address, plan, onArrival) {
    this.address = address;
    this.plan = plan;
    this.onArrival = onArrival;
    this.kept = new Map();
    this.wanted = [];
    this.loading = new Set();
  }

  key({ level, column, row }) {
    return `${level}/${column}-${row}`;
  }

  /** Ask for squares; what was asked before and is not under way is forgotten. */
  want(squares) {
    this.wanted = squares.filter((square) => !this.kept.has(this.key(square)));
    this.next();
  }

  next() {
    while (this.loading.size < AT_ONCE && this.wanted.length) {
      const square = this.wanted.shift();
      const key = this.key(square);
      if (this.loading.has(key) || this.kept.has(key)) continue;
      this.load(square, key);
    }
  }

  load(square, key) {
    const image = new Image();
    this.loading.add(key);
    image.src = `${this.address}${key}/`;
    image.decode().then(
      () => {
        this.kept.set(key, { ...square, image });
        if (this.kept.size > KEPT) this.kept.delete(this.kept.keys().next().value);
      },
      () => undefined, // a square that does not come leaves the coarser one in sight
    ).then(() => {
      this.loading.delete(key);
      this.onArrival();
      this.next();
    });
  }

  /** What is there, the coarse below the fine. */
  drawn(finest) {
    return [...this.kept.values()]
      .filter(({ level }) => level >= finest)
      .sort((one, other) => other.level - one.level);
  }
}
