/* Takes photographs in file by file, each with a key of its own.
 *
 * A file that was sent twice because the answer got lost is the same record: the key of the record
 * and of the request are made once, here. A lost connection or a server that restarts is waited
 * for; a refusal is shown at its line and the next file goes on.
 */
import { widget } from "../../shell/js/widgets.js";
import { isLost, sizeWords, uuid7, waitBefore, wordsOf } from "./sending.js";

const SAME_FOR_ALL = ["photographer", "place", "view", "region", "shows", "taken_at"];

function element(name, className, text) {
  const made = document.createElement(name);
  if (className) made.className = className;
  if (text) made.textContent = text;
  return made;
}

/* After a new sign-in the token of this page is old; the cookie has the one that counts. */
function tokenNow() {
  return document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1];
}

class Line {
  constructor(file) {
    this.file = file;
    this.recordId = uuid7();
    this.requestKey = uuid7();
    this.state = "waiting";
    this.tries = 0;
    this.row = element("li");
    this.words = element("p", "upload-words", "waiting");
    this.progress = element("progress");
    this.progress.max = 1;
    this.progress.hidden = true;
    this.progress.setAttribute("aria-label", file.name);
    this.row.append(
      element("span", "upload-name", file.name),
      element("span", "upload-size", sizeWords(file.size)),
      this.words,
      this.progress,
    );
  }

  say(state, text, link) {
    this.state = state;
    this.row.dataset.state = state;
    this.words.textContent = text;
    if (link) {
      const to = element("a", "", link.text);
      to.href = link.href;
      this.words.append(" ", to);
    }
    this.progress.hidden = state !== "sending";
  }
}

class Upload {
  constructor(form) {
    this.form = form;
    this.input = form.querySelector('input[type="file"]');
    this.lines = [];
    this.running = false;
    this.part = (name) => form.querySelector(`[data-part="${name}"]`);
    this.button = form.querySelector('.form-foot [type="submit"]');
    form.setAttribute("data-may-repeat", "");
    this.part("drop-words").hidden = false;
    this.input.addEventListener("change", () => {
      this.add(this.input.files);
      this.input.value = "";
    });
    form.addEventListener("submit", (event) => {
      if (!this.lines.length) return; // nothing chosen: the server says so beside the field
      event.preventDefault();
      this.start();
    });
    this.listenForDrops();
    window.addEventListener("online", () => this.wake?.());
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
    drop.addEventListener("drop", (event) => {
      event.preventDefault();
      drop.toggleAttribute("data-over", false);
      this.add(event.dataTransfer.files);
    });
  }

  add(files) {
    const list = this.part("lines");
    for (const file of files) {
      const line = new Line(file);
      this.lines.push(line);
      list.append(line.row);
    }
    list.hidden = this.lines.length === 0;
    this.sum();
  }

  sum() {
    const count = (state) => this.lines.filter((line) => line.state === state).length;
    const waiting = this.lines.filter((line) => ["waiting", "held"].includes(line.state)).length;
    const parts = [
      [count("stored"), "taken in"],
      [count("there"), "there already"],
      [count("refused"), "refused"],
      [waiting, "waiting"],
    ];
    const sum = this.part("sum");
    sum.hidden = !this.lines.length;
    sum.textContent = parts.filter(([n]) => n).map(([n, words]) => `${n} ${words}`).join(", ");
    this.button.textContent = waiting ? `Take in ${waiting} ${waiting === 1 ? "file" : "files"}` : "Take in";
    this.part("after").hidden = this.running || !count("stored");
  }

  async start() {
    if (this.running) return;
    this.running = true;
    this.button.setAttribute("aria-disabled", "true");
    this.held = false;
    let next;
    while (!this.held && (next = this.lines.find((line) => ["waiting", "held"].includes(line.state)))) {
      await this.take(next);
      this.sum();
    }
    this.running = false;
    this.button.removeAttribute("aria-disabled");
    this.sum();
  }

  async take(line) {
    for (;;) {
      line.say("sending", "being sent");
      line.row.scrollIntoView({ block: "nearest" });
      const answer = await this.send(line);
      // A server that answers 500 again and again will not take this file: the next one goes on.
      if (!isLost(answer.status) || (answer.status === 500 && line.tries >= 5)) {
        this.settle(line, answer);
        return;
      }
      line.tries += 1;
      line.say("held", "The connection is lost. It is sent again by itself.");
      this.sum();
      await this.pause(waitBefore(line.tries));
    }
  }

  pause(milliseconds) {
    return new Promise((resolve) => {
      const timer = window.setTimeout(resolve, milliseconds);
      this.wake = () => {
        window.clearTimeout(timer);
        resolve();
      };
    });
  }

  settle(line, { status, body }) {
    const url = (id) => `${this.form.dataset.log}${id}/`;
    // Who is signed out may be answered with the sign-in page instead of a record.
    const signedOut = status === 401 || (status < 400 && !body.id);
    if (signedOut || (status === 403 && body.code !== "not_allowed")) {
      this.held = true;
      line.say("held", "Sign in again in another window, then press the button below.");
    } else if (status === 200 || status === 201) {
      line.say("stored", "taken in as", { text: `photograph ${body.number}`, href: url(body.id) });
    } else if (body.code === "already_in_case") {
      const { id, number } = body.photograph;
      line.say("there", "is in the case already as", { text: `photograph ${number}`, href: url(id) });
    } else {
      line.say("refused", wordsOf(body));
      // What needs a person stands on top, also of a long list.
      this.part("lines").prepend(line.row);
    }
  }

  fields(line) {
    const sent = new FormData();
    const values = new FormData(this.form);
    sent.append("id", line.recordId);
    for (const name of SAME_FOR_ALL) {
      if (values.get(name)) sent.append(name, values.get(name));
    }
    for (const name of ["with_scale", "graphic"]) sent.append(name, values.has(name) ? "true" : "false");
    for (const finding of values.getAll("finding_ids")) sent.append("finding_ids", finding);
    sent.append("upload", line.file, line.file.name);
    return sent;
  }

  /* Not fetch: only XMLHttpRequest tells how much of a file has been sent. */
  send(line) {
    return new Promise((resolve) => {
      const request = new XMLHttpRequest();
      request.open("POST", this.form.dataset.url);
      request.setRequestHeader("Idempotency-Key", line.requestKey);
      request.setRequestHeader("Accept", "application/json");
      request.setRequestHeader("X-CSRFToken", tokenNow() ?? this.form.elements.csrfmiddlewaretoken.value);
      request.responseType = "json";
      request.upload.addEventListener("progress", (event) => {
        if (event.lengthComputable) line.progress.value = event.loaded / event.total;
        if (event.loaded === event.total) line.words.textContent = "being checked";
      });
      request.addEventListener("loadend", () => {
        resolve({ status: request.status, body: request.response || {} });
      });
      request.send(this.fields(line));
    });
  }
}

widget("upload", (form) => new Upload(form));
