/* Marking in court: drawing over an exhibit, and keeping what was drawn where somebody asks for it. */
import { uuid7 } from "../../shell/js/new_key.js";
import { onAnswer, sendKept } from "../../shell/js/outbox.js";
import { say } from "../../shell/js/say.js";
import { Drawing, TOOLS } from "./drawing.js";
import { cellAt, shareOf } from "./sight.js";

const HAND = "Enter begins and ends a stroke, arrow keys move; or draw with the mouse or a finger.";

export class Marking {
  /** `cells()` are those to be seen, `changed()` is called when buttons may have to change. */
  constructor(room, { bar, dialog, cells, changed }) {
    Object.assign(this, { room, bar, dialog, cells, changed, drawing: new Drawing() });
    // The device's clock may be wrong: the office's is as far from it as it was at the start.
    this.ahead = Number(room.dataset.now) - Date.now();
    dialog.addEventListener("click", (event) => {
      const chosen = event.target.closest("[data-marked-by]");
      if (!chosen) return;
      dialog.close();
      room.focus({ preventScroll: true });
      this.send(chosen.dataset.markedBy, chosen.textContent.trim().toLowerCase());
    });
    onAnswer(async (answer, entry, saved) => {
      if (!entry.mark) return;
      say(saved ? `Kept in the record: ${entry.mark}.` : `Not kept: ${await answer.text()}`, "mark");
    });
  }

  get tool() {
    return this.drawing.tool;
  }

  /** The next tool; false after the last one. */
  next() {
    const at = TOOLS.indexOf(this.tool);
    if (at === TOOLS.length - 1) return false;
    this.choose(TOOLS[at + 1]);
    return true;
  }

  choose(tool) {
    this.drawing.drop();
    this.drawing.tool = tool;
    this.changed();
    say(`Drawing: ${tool}. ${HAND}`, "tool");
  }

  press(place) {
    const cell = cellAt(this.cells(), place);
    if (cell) this.drawing.press(cell, shareOf(cell, place));
  }

  move(place) {
    if (this.drawing.drawing) this.drawing.move(shareOf(this.drawing.begun.cell, place));
  }

  release({ said = false } = {}) {
    const more = this.drawing.release();
    if (more) say(`A stroke is drawn: ${this.tool}.`, "stroke");
    else if (said) say("Nothing was drawn.", "stroke");
    this.changed();
  }

  /** By Enter: the first press begins a stroke, the second one ends it. */
  enter(place) {
    if (this.drawing.drawing) {
      this.release({ said: true });
      return;
    }
    this.press(place);
    say(`A stroke begins: ${this.tool}. Move with the arrow keys, Enter ends it.`, "stroke");
  }

  takeBack() {
    if (this.drawing.drawing) this.drawing.drop();
    else if (!this.drawing.takeBack()) return;
    this.changed();
    say("The last stroke is taken back.", "stroke");
  }

  erase() {
    this.drawing.clear();
    this.changed();
    say("What was drawn is erased.", "stroke");
  }

  /** Gone with the exhibit: nothing is kept unless somebody asks. */
  clear() {
    this.drawing.clear();
  }

  ask() {
    this.release();
    if (!this.drawing.unkept().size) {
      say("There is nothing drawn that is not kept.", "mark");
      return;
    }
    this.dialog.showModal();
  }

  /** Keep what was drawn: on this device until the office has it, each picture's under one key. */
  send(markedBy, words) {
    const at = new Date(Date.now() + this.ahead);
    const clock = at.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit", timeZone: this.room.dataset.zone });
    for (const [cell, strokes] of this.drawing.unkept()) {
      const exhibit = cell.closest('[data-part="exhibit"]');
      const requestKey = uuid7();
      const body = new URLSearchParams({
        record_id: requestKey,
        request_key: requestKey,
        photograph: cell.dataset.photograph,
        redaction: cell.dataset.redaction ?? "",
        strokes: JSON.stringify(strokes),
        marked_at: at.toISOString(),
        marked_by: markedBy,
      }).toString();
      const mark = `marked in court by ${words}, ${clock}`;
      if (sendKept({ url: exhibit.dataset.keep, body, requestKey, mark })) this.keptOf(cell);
    }
    this.changed();
  }

  keptOf(cell) {
    for (const one of this.drawing.strokes) if (one.cell === cell) one.kept = true;
  }
}
