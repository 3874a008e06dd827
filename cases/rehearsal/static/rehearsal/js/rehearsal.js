/* One question at a time: the answer comes with a key, and how it came is kept for its witness.
 *
 * What did not come at once is asked again at the end, until it does. Each note goes through the
 * outbox: it is kept on the device until the office has it.
 */
import { arrow, onPage, pressed } from "../../shell/js/keys.js";
import { uuid7 } from "../../shell/js/new_key.js";
import { sendKept } from "../../shell/js/outbox.js";
import { say } from "../../shell/js/say.js";
import { widget } from "../../shell/js/widgets.js";

const CAME = "came";
const AGAIN = "again";
const SINGLE = { 1: CAME, 2: AGAIN };

widget("rehearsal", (room) => {
  const part = (name, within = room) => within.querySelector(`[data-part="${name}"]`);
  const questions = [...room.querySelectorAll('[data-part="question"]')];
  if (!questions.length) return;
  const acts = part("acts");
  const end = part("end");
  const button = (name) => room.querySelector(`[data-act="${name}"]`);
  let asked = [];
  let place = 0;

  const current = () => asked[place];
  const isOver = () => !current();
  const isShown = () => !isOver() && part("answer", current()).open;
  const words = (element) => element.textContent.trim().replace(/\s+/g, " ");
  const count = (outcome) => questions.filter((one) => one.dataset.outcome === outcome).length;

  const progress = () => {
    const again = count(AGAIN);
    const left = again ? `, ${again} to come back to` : "";
    return `${count(CAME)} of ${questions.length} came at once${left}`;
  };

  const draw = () => {
    for (const one of questions) {
      one.hidden = one !== current();
      if (one.hidden) part("answer", one).open = false;
    }
    acts.hidden = isOver();
    end.hidden = !isOver();
    button("show").hidden = isShown();
    for (const name of [CAME, AGAIN]) button(name).hidden = !isShown();
    button("previous").disabled = place === 0;
    button("next").disabled = place >= asked.length - 1;
    part("progress").textContent = progress();
  };

  const ask = () => {
    draw();
    if (isOver()) {
      const all = count(CAME) === questions.length;
      part("end-words").textContent = all ? "Every answer came at once" : "All questions were asked";
      say(`${words(part("end-words"))}. ${progress()}.`, "question");
      part("onward").focus();
      return;
    }
    say(`${words(part("asks", current()))} ${progress()}.`, "question");
    button("show").focus();
  };

  const begin = (all) => {
    asked = all ? [...questions] : questions.filter((one) => one.dataset.outcome !== CAME);
    place = 0;
  };

  const show = () => {
    if (isOver() || isShown()) return;
    part("answer", current()).open = true;
    draw();
    say(words(part("spoken", current())), "answer");
    button(CAME).focus();
  };

  const send = (question, outcome) => {
    const requestKey = uuid7();
    const body = new URLSearchParams({
      record_id: uuid7(), request_key: requestKey, question: question.dataset.key, outcome,
    });
    sendKept({ url: room.dataset.mark, body: body.toString(), requestKey });
  };

  const mark = (outcome) => {
    if (!isShown()) return;
    const question = current();
    question.dataset.outcome = outcome;
    send(question, outcome);
    if (outcome === AGAIN) asked.push(question);
    place += 1;
    ask();
  };

  const move = (by) => {
    const to = place + by;
    if (isOver() || to < 0 || to >= asked.length) return;
    place = to;
    ask();
  };

  const does = {
    show,
    came: () => mark(CAME),
    again: () => mark(AGAIN),
    previous: () => move(-1),
    next: () => move(1),
    over: () => {
      begin(true);
      ask();
    },
  };

  room.addEventListener("click", (event) => {
    const name = event.target.closest("[data-act]")?.dataset.act;
    if (name) does[name]();
  });
  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || isOver() || document.querySelector("dialog[open]")) return;
    const name = pressed(event);
    const way = arrow(event);
    if ((name === " " || name === "Enter") && onPage(event)) show();
    else if (way?.[0] && onPage(event)) move(way[0]);
    else if (name in SINGLE && isShown()) mark(SINGLE[name]);
    else return;
    event.preventDefault();
  });

  room.classList.add("is-live");
  begin(false);
  draw();
  // The first question is on the page already: said, but the focus stays where the page put it.
  if (!isOver()) say(words(part("asks", current())), "question");
});
