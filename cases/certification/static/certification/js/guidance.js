/* What is asked of part I and part II while they are typed.
 *
 * <form data-widget="guidance" data-guidance="address" data-word="Check this."> sends what stands in
 * the lines a moment after the last key; the office's own rules answer, by field, and what they ask
 * is written beside the line (data-guidance-of). Nothing is kept, and nothing is held back. How many
 * lines are asked about is said once somebody leaves a field.
 */
import { ask } from "../../shell/js/page_of.js";
import { say } from "../../shell/js/say.js";
import { changeStill } from "../../shell/js/still.js";
import { widget } from "../../shell/js/widgets.js";

const WAIT_MS = 700;
const GUIDED = /^(?:cause_|interval_|contributing$|manner$|basis$)/;

function typed(form) {
  const sent = new FormData();
  for (const [name, value] of new FormData(form)) {
    if (GUIDED.test(name)) sent.append(name, value);
  }
  return sent;
}

function note(word, words) {
  const line = document.createElement("p");
  line.className = "note attention";
  const strong = document.createElement("strong");
  strong.className = "note-word";
  strong.textContent = word;
  line.append(strong, ` ${words}`);
  return line;
}

widget("guidance", (form) => {
  const places = [...form.querySelectorAll("[data-guidance-of]")];
  const wordsOf = () => places.map((place) => place.textContent).join("");
  let waiting = 0;
  let round = 0;
  let told = wordsOf();

  const show = (asked) => changeStill(places, () => {
    for (const place of places) {
      const notes = (asked[place.dataset.guidanceOf] ?? []).map((words) => note(form.dataset.word, words));
      place.replaceChildren(...notes);
    }
  });
  const look = async () => {
    const mine = ++round;
    try {
      const answer = await ask(form.dataset.guidance, { method: "POST", body: typed(form) });
      if (!answer.ok || mine !== round) return;
      await show((await answer.json()).asked);
    } catch {
      // Without a connection nothing is asked; saving asks again.
    }
  };
  form.addEventListener("input", (event) => {
    if (!GUIDED.test(event.target.name ?? "")) return;
    window.clearTimeout(waiting);
    waiting = window.setTimeout(look, WAIT_MS);
  });
  form.addEventListener("change", async (event) => {
    if (!GUIDED.test(event.target.name ?? "")) return;
    window.clearTimeout(waiting);
    await look();
    const words = wordsOf();
    if (words !== told && words) say(words, "guidance");
    told = words;
  });
});
