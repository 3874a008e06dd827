/* Loads every picture while there is a connection: the court goes on when it is lost.
 *
 * The page itself loads the smaller copies. The large ones, for looking closely, follow one after
 * another and are kept as they came, not unpacked, up to a limit that a tablet can hold.
 */
import { ask } from "../../shell/js/page_of.js";

const MOST_BYTES = 400_000_000;
const AGAIN_MS = 5000;
const MOST_TRIES = 5;

export class Ahead {
  /** `tell(words, done)` is called whenever more has come. */
  constructor(cells, tell) {
    Object.assign(this, { cells, tell, bytes: 0, full: false, tries: 0, large: new Map(), failed: new Set() });
    for (const cell of cells) {
      const picture = cell.querySelector('[data-part="picture"]');
      picture.addEventListener("load", () => this.came(cell));
      picture.addEventListener("error", () => this.missed(cell));
      if (picture.complete) (picture.naturalWidth ? this.came : this.missed).call(this, cell);
    }
    window.addEventListener("online", () => this.again());
    this.say();
  }

  came(cell) {
    if ("came" in cell.dataset) return;
    cell.dataset.came = "";
    this.failed.delete(cell);
    this.say();
    this.settled();
  }

  missed(cell) {
    if ("came" in cell.dataset) return;
    this.failed.add(cell);
    this.settled();
    window.clearTimeout(this.timer);
    if (this.tries < MOST_TRIES) this.timer = window.setTimeout(() => this.again(), AGAIN_MS);
    this.tries += 1;
  }

  settled() {
    if (this.cells.every((one) => "came" in one.dataset || this.failed.has(one))) this.rest();
  }

  /** Ask once more for what did not come. */
  again() {
    for (const cell of this.failed) {
      const picture = cell.querySelector('[data-part="picture"]');
      picture.src = picture.getAttribute("src");
    }
    this.failed.clear();
    this.rest();
  }

  /** All large copies, one at a time. */
  async rest() {
    if (this.running) return;
    this.running = true;
    for (const cell of this.cells) {
      if (this.full || !(await this.largeOf(cell))) break;
    }
    this.running = false;
    this.say();
  }

  /** The address of a cell's large copy in this page's memory; "" while there is none. */
  async largeOf(cell) {
    const wanted = cell.dataset.large;
    if (!this.large.has(wanted)) this.large.set(wanted, this.fetched(wanted));
    const found = await this.large.get(wanted);
    if (!found) this.large.delete(wanted);
    else if (!cell.dataset.sharp) cell.dataset.sharp = found;
    this.say();
    return found;
  }

  async fetched(address) {
    try {
      const answer = await ask(address);
      if (!answer.ok) return "";
      const bytes = await answer.blob();
      this.bytes += bytes.size;
      this.full = this.bytes > MOST_BYTES;
      return URL.createObjectURL(bytes);
    } catch {
      return "";
    }
  }

  say() {
    const all = this.cells.length;
    if (!all) return;
    const small = this.cells.filter((cell) => "came" in cell.dataset).length;
    const large = this.cells.filter((cell) => cell.dataset.sharp).length;
    if (small < all) this.tell(`${small} of ${all} pictures loaded`, false);
    else if (large < all && !this.full) this.tell(`All pictures loaded, ${large} of ${all} for looking closely`, false);
    else this.tell("All pictures loaded: no connection is needed until you end", true);
  }
}
