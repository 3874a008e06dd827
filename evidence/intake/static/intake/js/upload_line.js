/* One file on its way in: what is known of it, its line on the page, and how it is sent.
 *
 * Sending speaks the open tus protocol by the vendored client (vendor/tus-js-client.min.js, MIT),
 * which the page loads before this module.
 */
import { uuid7 } from "../../shell/js/new_key.js";
import { ask, noteOther, personHeaders } from "../../shell/js/page_of.js";
import { sizeWords } from "./sending.js";

function element(name, className, text) {
  const made = document.createElement(name);
  if (className) made.className = className;
  if (text) made.textContent = text;
  return made;
}

export class Line {
  constructor({ name, size, modified = 0, recordId = uuid7() }, file = null) {
    Object.assign(this, { name, size, modified, recordId, file });
    this.state = file ? "waiting" : "away";
    this.tries = 0;
    this.sent = 0;
    this.begun = !file;
    this.whole = false; // every byte is there; only the last step is missing
    this.sha256 = "";
    this.row = element("li");
    this.words = element("p", "upload-words", "waiting");
    this.progress = element("progress");
    this.progress.max = 1;
    this.progress.hidden = true;
    this.progress.setAttribute("aria-label", name);
    this.row.append(
      element("span", "upload-name", name),
      element("span", "upload-size", sizeWords(size)),
      this.words,
      this.progress,
    );
  }

  static of(file) {
    return new Line({ name: file.name, size: file.size, modified: file.lastModified }, file);
  }

  isOf(file) {
    const same = this.name === file.name && this.size === file.size;
    return same && (!this.modified || this.modified === file.lastModified);
  }

  get isOver() {
    return ["stored", "there", "refused"].includes(this.state);
  }

  say(state, text, link) {
    Object.assign(this, { state, text, link });
    this.row.dataset.state = state;
    this.words.textContent = text;
    if (link) {
      const to = element("a", "", link.text);
      to.href = link.href;
      this.words.append(" ", to);
    }
    this.progress.hidden = state !== "sending";
  }

  has(sent) {
    this.sent = sent;
    this.progress.value = this.size ? sent / this.size : 1;
  }
}

/* The browser's own digest goes along: the server compares it with what came. Where a page is not
 * served in a way that browsers trust with this, the server compares its own two digests only. */
export async function digestOf(file) {
  if (!crypto.subtle) return "";
  try {
    const digest = await crypto.subtle.digest("SHA-256", await file.arrayBuffer());
    return [...new Uint8Array(digest)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  } catch {
    return ""; // a card that was pulled out: sending will say so
  }
}

function readBody(text) {
  try {
    return JSON.parse(text) || {};
  } catch {
    return {};
  }
}

/* Sends what is missing of a file. Resolves with the status and body of what went wrong, with
 * { status: 204 } when all is there, with { stopped: true } when `line.stop()` was called. */
export function sendFile(line, form, entry, onProgress) {
  return new Promise((resolve) => {
    const endpoint = form.dataset.url;
    const upload = new window.tus.Upload(line.file, {
      endpoint,
      uploadUrl: line.begun ? `${endpoint}${line.recordId}/` : null,
      metadata: {
        id: line.recordId,
        filename: line.name,
        sha256: line.sha256,
        entry: JSON.stringify(entry),
      },
      // The server takes a request whole before it looks at it: what a broken line costs is one
      // piece, and what came before it stays.
      chunkSize: 8 * 1024 * 1024,
      uploadDataDuringCreation: true, // one request less a file
      retryDelays: null, // when and how often is decided by the list, for all files together
      storeFingerprintForResuming: false,
      headers: { Accept: "application/json" },
      onBeforeRequest: (request) => {
        const headers = Object.entries(personHeaders({ changes: true }));
        for (const [name, value] of headers) request.setHeader(name, value);
      },
      onUploadUrlAvailable: () => {
        line.begun = true;
      },
      onProgress: (sent) => {
        line.has(sent);
        onProgress();
      },
      onSuccess: () => {
        line.whole = true;
        line.has(line.size);
        resolve({ status: 204, body: {} });
      },
      onError: (error) => {
        const answer = error.originalResponse;
        if (answer?.getStatus() === 409) noteOther(answer.getBody());
        resolve({
          status: answer ? answer.getStatus() : 0,
          body: answer ? readBody(answer.getBody()) : {},
        });
      },
    });
    line.stop = () => {
      upload.abort();
      resolve({ stopped: true });
    };
    upload.start();
  });
}

/* The last step: the file becomes a photograph. Asked twice, it is the same photograph. */
export async function takeIn(line, form) {
  try {
    const answer = await ask(`${form.dataset.url}${line.recordId}/take-in/`, {
      method: "POST",
      headers: { Accept: "application/json" },
    });
    return { status: answer.status, body: readBody(await answer.text()) };
  } catch {
    return { status: 0, body: {} };
  }
}
