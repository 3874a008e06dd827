/* The magnifier: a round glass over the picture that shows the large copy. */
import { cellAt, pictureBox, shareOf } from "./sight.js";

const TIMES = 3;

export class Lens {
  constructor(glass, ahead) {
    Object.assign(this, { glass, ahead, cell: null });
    this.picture = glass.querySelector('[data-part="enlarged"]');
  }

  get shown() {
    return !this.glass.hidden;
  }

  /** Show what lies at a place of the screen; `room` is what the glass lies in. */
  show(cells, place, room) {
    const cell = cellAt(cells, place);
    if (!cell) return;
    this.glass.hidden = false;
    if (cell !== this.cell) this.take(cell);
    const box = pictureBox(cell);
    const [across, down] = shareOf(cell, place);
    const around = room.getBoundingClientRect();
    const half = this.glass.offsetWidth / 2;
    const set = (name, value) => this.glass.style.setProperty(name, `${value}px`);
    set("--left", box.left + across * box.width - around.left - half);
    set("--top", box.top + down * box.height - around.top - half);
    set("--wide", box.width * TIMES);
    set("--high", box.height * TIMES);
    set("--across", this.glass.clientWidth / 2 - across * box.width * TIMES);
    set("--down", this.glass.clientHeight / 2 - down * box.height * TIMES);
  }

  take(cell) {
    this.cell = cell;
    this.picture.src = cell.dataset.sharp ?? cell.querySelector('[data-part="picture"]').src;
    if (cell.dataset.sharp) return;
    this.ahead.largeOf(cell).then((found) => {
      if (found && this.cell === cell) this.picture.src = found;
    });
  }

  /** Nothing of an exhibit stays in a glass that is put away. */
  hide() {
    this.glass.hidden = true;
    this.cell = null;
    this.picture.removeAttribute("src");
  }
}
