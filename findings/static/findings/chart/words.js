/** Placing a mark by words: the server finds the spot, the chart takes the mark as if it were drawn. */
import { uuid7 } from "../../shell/js/new_key.js";
import { say } from "../../shell/js/say.js";
import { widget } from "../../shell/js/widgets.js";
import { hand } from "./hand.js";
import { changeView } from "./views.js";

/* Take a mark that was placed by words, and turn to the view in which it lies. */
function take(chart, mark, note) {
  const { takes } = chart;
  const whole = { id: uuid7(), ...mark };
  chart.keep(takes && !takes.many ? [whole] : [...hand.marks, whole], "place");
  say(`${chart.sentence()} ${note}`);
  if (mark.view === chart.view) return;
  hand.then = "form";
  changeView(chart, new URL(`?view=${mark.view}`, window.location.href));
}

widget("placed-by-words", (fieldset) => {
  take(hand.chart, JSON.parse(fieldset.dataset.mark), fieldset.dataset.note);
  const term = fieldset.closest("form")?.elements.term;
  (term && !term.value ? term : fieldset.querySelector("input:not([type=hidden])")).focus();
});

/* What is wrong is read with its field. */
document.addEventListener("htmx:load", (event) => {
  const { elt } = event.detail;
  if (elt.matches?.(".by-words")) elt.querySelector("[aria-invalid=true]")?.focus();
});
