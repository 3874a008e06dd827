/* Whatever a page sends goes out under the person who opened it, or not at all.
 *
 *   import { ask } from "../../shell/js/page_of.js";
 *   const answer = await ask(url, { method: "POST", body });
 *
 * The cookies are those of whoever signed in last on this device, and so is the token: the office
 * compares them with the person named here and answers 409 where they differ. A page that meets
 * this says so and keeps everything that was typed.
 */
import { isPost } from "./forms.js";
import { say } from "./say.js";

export const person = document.body.dataset.person ?? "";
const TOKEN = "csrfmiddlewaretoken";

/* After a new sign-in the token of this page is old; the cookie has the one that counts. */
function tokenNow() {
  const cookie = document.cookie.match(/(?:^|; )csrftoken=([^;]+)/)?.[1];
  return cookie ?? document.querySelector('meta[name="csrf-token"]')?.content ?? "";
}

/** The headers of a request that this page sends. */
export function personHeaders({ changes = false } = {}) {
  return { ...(person && { "X-Page-Of": person }), ...(changes && { "X-CSRFToken": tokenNow() }) };
}

/** Fetch from the office as the person of this page. */
export async function ask(url, options = {}) {
  const changes = !["GET", "HEAD"].includes(options.method ?? "GET");
  const headers = { ...options.headers, ...personHeaders({ changes }) };
  const answer = await window.fetch(url, { ...options, headers });
  if (answer.status === 409) noteOther(await answer.clone().text());
  return answer;
}

/** Say on the page that it is another person's, if an answer says so. */
export function noteOther(text) {
  let body = {};
  try {
    body = JSON.parse(text);
  } catch {
    return false;
  }
  if (body?.code !== "other_person") return false;
  tell(body.message);
  return true;
}

function tell(message) {
  if (document.getElementById("other-person")) return;
  const line = document.createElement("section");
  line.id = "other-person";
  line.className = "other-person";
  line.setAttribute("aria-label", "Another person is signed in");
  const words = document.createElement("p");
  words.textContent = `${message} What was written here stays on this device for the person who wrote it.`;
  const own = document.createElement("a");
  own.href = window.location.href;
  own.textContent = "Open this page as yourself";
  line.append(words, own);
  const top = document.querySelector(".top-line");
  if (top) top.after(line);
  else document.body.prepend(line);
  say(words.textContent);
}

/* Forms that a browser sends by itself, and whatever reads a form. */
document.addEventListener("formdata", ({ target, formData }) => {
  if (!isPost(target)) return;
  if (person) formData.set("page_of", person);
  if (formData.has(TOKEN)) formData.set(TOKEN, tokenNow());
});

document.addEventListener("htmx:configRequest", ({ detail }) => {
  Object.assign(detail.headers, personHeaders({ changes: detail.verb !== "get" }));
});

document.addEventListener("htmx:beforeSwap", ({ detail }) => {
  if (detail.xhr.status === 409 && noteOther(detail.xhr.responseText)) detail.shouldSwap = false;
});
