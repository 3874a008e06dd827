/* Takes whole cards in: several files at a time, each with a key of its own.
 *
 * A file is sent in pieces by the tus protocol and goes on where it stopped. A lost connection or a
 * server that restarts is waited for; a refusal is shown at its line and the next file goes on. The
 * list survives a reload of the page: what had come is known, and choosing the same files again
 * goes on with the rest.
 */
import { ask } from "../../shell/js/page_of.js";
import { tab } from "../../shell/js/outcome.js";
import { sayUnreadable, typedMoment } from "../../shell/js/typed_time.js";
import { widget } from "../../shell/js/widgets.js";
import { isLost, isToRepeat, sizeWords, waitBefore, whyHeld, wordsOf } from "./sending.js";
import { droppedFiles, inOrder, photographsAmong } from "./upload_files.js";
import { Line, digestOf, sendFile, takeIn } from "./upload_line.js";

const SAME_FOR_ALL = ["photographer", "place", "view", "region", "shows"];
const AT_A_TIME = 3;
const MOST_TRIES = 5;

class Upload {
  constructor(form) {
    this.form = form;
    this.input = form.querySelector('input[type="file"]');
    this.endings = this.input.accept.split(",").filter((each) => each.startsWith("."));
    this.lines = [];
    this.leftOut = 0;
    this.running = 0;
    this.wakers = new Set();
    this.part = (name) => form.querySelector(`[data-part="${name}"]`);
    this.button = form.querySelector('.form-foot [type="submit"]');
    form.setAttribute("data-may-repeat", "");
    for (const name of ["drop-words", "drop-folder"]) this.part(name).hidden = false;
    this.listen();
    window.addEventListener("pagehide", () => {
      if (this.keeping) this.keepNow();
    });
    this.remember();
  }

  listen() {
    const folder = this.part("folder");
    this.input.addEventListener("change", () => {
      this.add(this.input.files);
      this.input.value = "";
    });
    folder.addEventListener("change", () => {
      this.add(folder.files, { whole: true });
      folder.value = "";
    });
    this.form.addEventListener("submit", (event) => {
      if (!this.lines.length) return; // nothing chosen: the server says so beside the field
      event.preventDefault();
      this.start();
    });
    this.part("pause").addEventListener("click", () => (this.paused ? this.start() : this.pause()));
    this.listenForDrops();
    window.addEventListener("online", () => this.wake());
    window.addEventListener("beforeunload", (event) => {
      if (this.running) event.preventDefault();
    });
  }

  listenForDrops() {
    const drop = this.part("drop");
    drop.addEventListener("dragover", (event) => {
      event.preventDefault();
      drop.toggleAttribute("data-over", true);
    });
    drop.addEventListener("dragleave", () => drop.toggleAttribute("data-over", false));
    drop.addEventListener("drop", async (event) => {
      event.preventDefault();
      drop.toggleAttribute("data-over", false);
      const { files, whole } = await droppedFiles(event.dataTransfer);
      this.add(files, { whole });
    });
  }

  add(files, { whole = false } = {}) {
    const { meant, leftOut } = whole
      ? photographsAmong([...files], this.endings)
      : { meant: [...files], leftOut: 0 };
    this.leftOut += leftOut;
    for (const file of inOrder(meant)) {
      const known = this.lines.find((line) => line.isOf(file) && line.state !== "refused");
      if (known?.state === "away") {
        known.file = file;
        known.say("waiting", known.sent ? `${sizeWords(known.sent)} already received` : "waiting");
      } else if (!known) {
        this.show(Line.of(file));
      }
    }
    this.sum();
  }

  show(line) {
    this.lines.push(line);
    this.part("lines").append(line.row);
  }

  /* What was chosen before a reload, and what the server has of this person's unfinished files. */
  async remember() {
    try {
      const kept = JSON.parse(sessionStorage.getItem(this.keptAs) || "[]");
      for (const each of kept) {
        const line = new Line(each);
        line.begun = each.begun;
        line.say(each.state, each.text, each.link);
        this.show(line);
      }
    } catch {
      sessionStorage.removeItem(this.keptAs);
    }
    this.sum();
    const answer = await ask(this.form.dataset.url, { headers: { Accept: "application/json" } }).catch(() => null);
    const unfinished = answer?.ok ? await answer.json().catch(() => []) : [];
    for (const { id, name, size_bytes: size, received_bytes: sent, state } of unfinished) {
      let line = this.lines.find((each) => each.recordId === id);
      if (line?.running) continue;
      if (!line) this.show((line = new Line({ name, size, recordId: id })));
      line.begun = true;
      line.has(sent);
      line.whole = state === "complete";
      if (line.whole) line.say("waiting", "received, not added yet");
      else if (!line.file) line.say("away", `${sizeWords(sent)} received. Choose the file again to continue.`);
    }
    this.sum();
  }

  get keptAs() {
    return `upload ${this.form.dataset.case} ${document.body.dataset.person}`;
  }

  /* At most five times a second while files go, and once more when the page is left. */
  keep() {
    this.keeping ||= window.setTimeout(() => this.keepNow(), 200);
  }

  keepNow() {
    window.clearTimeout(this.keeping);
    this.keeping = 0;
    const kept = this.lines.map(({ name, size, modified, recordId, begun, state, text, link, isOver }) =>
      isOver
        ? { name, size, modified, recordId, begun, state, text, link }
        : { name, size, modified, recordId, begun, state: "away", text: "Choose the file again to continue." },
    );
    try {
      sessionStorage.setItem(this.keptAs, JSON.stringify(kept));
    } catch {
      sessionStorage.removeItem(this.keptAs); // no room: the server's own list remains
    }
  }

  sum() {
    const count = (...states) => this.lines.filter((line) => states.includes(line.state)).length;
    const waiting = this.lines.filter((line) => this.isWaiting(line)).length;
    const parts = [
      [count("stored"), "added"],
      [count("there"), "already in the case"],
      [count("refused"), "refused"],
      [count("away"), "to choose again"],
      [waiting, "waiting"],
      [this.leftOut, "left out: not photographs"],
    ];
    const sum = this.part("sum");
    sum.hidden = !this.lines.length && !this.leftOut;
    sum.textContent = parts.filter(([n]) => n).map(([n, words]) => `${n} ${words}`).join(", ");
    this.button.textContent = waiting ? `Add ${waiting} ${waiting === 1 ? "photograph" : "photographs"}` : "Add photographs";
    this.part("lines").hidden = this.lines.length === 0;
    this.part("after").hidden = this.running > 0 || !count("stored");
    this.part("pausing").hidden = !this.running && !this.paused;
    this.part("pause").textContent = this.paused ? "Continue" : "Pause";
    this.total();
    this.keep();
  }

  total() {
    const all = this.lines.reduce((sum, line) => sum + line.size, 0);
    const sent = this.lines.reduce((sum, line) => sum + (line.isOver ? line.size : line.sent), 0);
    const over = this.lines.filter((line) => line.isOver).length;
    this.part("total").hidden = this.lines.length < 2;
    this.part("total-bar").value = all ? sent / all : 0;
    this.part("total-words").textContent =
      `${over} of ${this.lines.length} files, ${sizeWords(sent)} of ${sizeWords(all)}`;
  }

  isWaiting(line) {
    return !line.running && ["waiting", "held"].includes(line.state);
  }

  start() {
    if (sayUnreadable(this.form)) return;
    this.same = this.entry();
    this.paused = false;
    this.signedOut = false;
    tab("");
    const runners = Math.min(AT_A_TIME - this.running, this.lines.filter((each) => this.isWaiting(each)).length);
    for (let n = 0; n < runners; n += 1) this.run();
    this.wake();
    this.sum();
  }

  pause() {
    this.paused = true;
    for (const line of this.lines) line.stop?.();
    this.wake();
    this.sum();
  }

  async run() {
    this.running += 1;
    this.button.setAttribute("aria-disabled", "true");
    let next;
    while (!this.paused && !this.signedOut && (next = this.lines.find((line) => this.isWaiting(line)))) {
      const line = next;
      line.running = this.take(line).finally(() => {
        line.running = null;
        line.stop = null;
      });
      await line.running;
      this.sum();
    }
    this.running -= 1;
    if (!this.running) this.button.removeAttribute("aria-disabled");
    this.sum();
    if (!this.running && !this.paused) this.tell();
  }

  /* For who looks at another tab meanwhile. */
  tell() {
    const short = this.lines.some((line) => line.state === "refused" || this.isWaiting(line));
    tab(`${short ? "Not all added" : "Ready"}: ${this.part("sum").textContent}`);
  }

  async take(line) {
    for (;;) {
      line.say("sending", "sending");
      this.follow(line.row);
      const answer = await this.attempt(line);
      if (answer.stopped || this.paused) {
        if (answer.stopped || answer.status === 0) return line.say("held", "Paused.");
      }
      // A server that answers 500 again and again will not take this file: the next one goes on.
      const hopeless = answer.status !== 0 && line.tries >= MOST_TRIES && !isLost(answer.status, true);
      if (!(isLost(answer.status) || isToRepeat(answer)) || hopeless) {
        if (line.tries) this.wake(); // the line is back: the others need not wait any longer
        return this.settle(line, answer);
      }
      line.tries += 1;
      if (isToRepeat(answer) && line.file) line.whole = false; // ask how far it came
      line.say("held", whyHeld(answer));
      this.sum();
      await this.wait(waitBefore(line.tries));
      if (this.paused) return line.say("held", "Paused.");
    }
  }

  /* Within the list alone: whoever is at the fields or at a button meanwhile is not taken away. */
  follow(row) {
    const list = this.part("lines");
    const [seen, at] = [list.getBoundingClientRect(), row.getBoundingClientRect()];
    list.scrollTop += Math.min(at.top - seen.top, 0) || Math.max(at.bottom - seen.bottom, 0);
  }

  async attempt(line) {
    if (!line.whole && line.file) {
      if (!line.sha256) line.sha256 = await digestOf(line.file);
      const sent = await sendFile(line, this.form, this.same, () => this.total());
      line.stop = null;
      if (sent.status !== 204) return sent;
    }
    line.say("sending", "checking");
    // Numbers follow the order of the list, not the chance of which file came first.
    const before = this.lines.slice(0, this.lines.indexOf(line));
    await Promise.all(before.map((earlier) => earlier.running));
    return takeIn(line, this.form);
  }

  wait(milliseconds) {
    return new Promise((resolve) => {
      const go = () => {
        window.clearTimeout(timer);
        this.wakers.delete(go);
        resolve();
      };
      const timer = window.setTimeout(go, milliseconds);
      this.wakers.add(go);
    });
  }

  wake() {
    for (const go of [...this.wakers]) go();
  }

  settle(line, { status, body }) {
    const url = (id) => `${this.form.dataset.log}${id}/`;
    // Who is signed out may be answered with the sign-in page instead of a record.
    const signedOut = status === 401 || (status < 400 && !body.id);
    if (body.code === "other_person") {
      this.signedOut = true;
      line.say("held", body.message);
    } else if (signedOut || (status === 403 && body.code !== "not_allowed")) {
      this.signedOut = true;
      line.say("held", "Sign in again in another window, then press the button below.");
    } else if (status === 200 || status === 201) {
      line.say("stored", "added as", { text: `photograph ${body.number}`, href: url(body.id) });
    } else if (body.code === "already_in_case") {
      const { id, number } = body.photograph;
      line.say("there", "already in the case as", { text: `photograph ${number}`, href: url(id) });
    } else {
      line.say("refused", wordsOf(body));
      // What needs a person stands on top, also of a long list.
      this.part("lines").prepend(line.row);
    }
    if (line.isOver) line.file = null; // a card of files need not be held in memory
  }

  entry() {
    const values = new FormData(this.form);
    const entry = { finding_ids: values.getAll("finding_ids") };
    for (const name of SAME_FOR_ALL) {
      if (values.get(name)) entry[name] = values.get(name);
    }
    const takenAt = typedMoment(this.form, "taken_at");
    if (takenAt) entry.taken_at = takenAt;
    for (const name of ["with_scale", "graphic"]) entry[name] = values.has(name);
    return entry;
  }
}

widget("upload", (form) => new Upload(form));
