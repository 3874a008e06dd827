/* What was done to marks, points or regions that are not saved yet, so that each step can be taken
 * back. No DOM. `marks` is whatever they were before the step. */

// Two of these in a row are two steps.
const ONCE = new Set(["place", "set", "corner", "region", "drop", "remove", "manner", "leave"]);

export class Steps {
  constructor() {
    this.past = [];
    this.future = [];
  }

  /**
   * Note a step ("place", "move", "size") before it changes the marks. Steps of one name on the same
   * mark are one until it is settled: a mark that went along under a held key goes back at once.
   */
  note(name, before, mark = "") {
    const last = this.past.at(-1);
    this.future = [];
    if (last && !last.settled && !ONCE.has(name) && last.name === name && last.mark === mark) return;
    this.past.push({ name, mark, marks: before, settled: false });
  }

  /** What comes is a step of its own. */
  settle() {
    const last = this.past.at(-1);
    if (last) last.settled = true;
  }

  /** Take the last step back: the marks before it and its name, or null when there is none. */
  undo(now) {
    return carry(this.past, this.future, now);
  }

  /** Do again what was taken back last. */
  redo(now) {
    return carry(this.future, this.past, now);
  }

  clear() {
    this.past = [];
    this.future = [];
  }
}

function carry(from, to, now) {
  const step = from.pop();
  if (!step) return null;
  to.push({ ...step, marks: now });
  return step;
}
