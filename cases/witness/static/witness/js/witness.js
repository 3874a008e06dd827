/* Answers to an exhibit: turning to the next one, outlines, what was measured, the cover, and what
 * folds to its first lines where the page is higher than the screen. */
import { arrow, onPage, pressed } from "../../shell/js/keys.js";
import { say } from "../../shell/js/say.js";
import { widget } from "../../shell/js/widgets.js";

const TURNS = { n: "next", p: "previous", q: "rehearse", s: "screen" };
const LAYERS = { o: "outlines", m: "measures" };
const FOLDS = [8, 5, 3, 2];
const SAID = {
  outlines: ["Outlines are shown.", "Outlines are hidden."],
  measures: ["What was measured is shown.", "What was measured is hidden."],
  whole: ["Every text is shown in full.", "Long texts are folded to their first lines."],
  cover: ["The picture is covered.", "The picture is shown."],
};

widget("witness", (page) => {
  const button = (name) => page.querySelector(`[data-act="${name}"]`);
  const covers = [...page.querySelectorAll('details[data-widget~="veil"]')];

  const tell = (name, on) => {
    button(name)?.setAttribute("aria-pressed", String(on));
    say(SAID[name][on ? 0 : 1], name);
  };
  const layer = (name) => {
    const drawn = [...page.querySelectorAll(`[data-part="${name}"]`)];
    if (!drawn.length) return;
    const on = drawn[0].hasAttribute("hidden");
    for (const one of drawn) one.toggleAttribute("hidden", !on);
    tell(name, on);
  };
  const cover = () => {
    const open = !covers.some((one) => one.open);
    for (const one of covers) one.open = open;
  };
  /* Only where findings stand beside each other: a page of many is scrolled anyway. */
  const wide = window.matchMedia("(min-width: 1180px)");
  let inFull = false;
  const tooHigh = (side) => {
    // What comes after the last thing: the side's padding, a border and a part of a line.
    const below = Number.parseFloat(getComputedStyle(side).paddingBottom) + 4;
    return side.lastElementChild.getBoundingClientRect().bottom + window.scrollY + below > window.innerHeight;
  };
  /* Each side by itself: a long left one takes no words from the right. */
  const fold = () => {
    delete page.dataset.folded;
    delete page.dataset.few;
    if (inFull) return;
    // The button takes room itself: it is there while the sides are measured.
    button("whole").hidden = false;
    const foldable = wide.matches && page.dataset.columns !== "0";
    if (foldable && tooHigh(page.querySelector(".witness-left"))) page.dataset.few = "";
    for (const lines of foldable ? FOLDS : []) {
      if (!tooHigh(page.querySelector(".witness-right"))) break;
      page.dataset.folded = lines;
    }
    button("whole").hidden = !("folded" in page.dataset || "few" in page.dataset);
  };
  const whole = () => {
    if (button("whole").hidden) return;
    inFull = !inFull;
    fold();
    button("whole").setAttribute("aria-pressed", String(inFull));
    say(SAID.whole[inFull ? 0 : 1], "whole");
  };
  const turn = (name) => {
    const link = page.querySelector(`[data-turn="${name}"]`);
    if (link) window.location.assign(link.href);
    else if (name === "next" || name === "previous") say(name === "next" ? "This is the last exhibit." : "This is the first exhibit.", "turn");
  };

  page.addEventListener("click", (event) => {
    const name = event.target.closest("[data-act]")?.dataset.act;
    if (name === "cover") cover();
    else if (name === "whole") whole();
    else if (name) layer(name);
  });
  /* Covered and shown by the button, by V and by the cover itself. */
  for (const one of covers) {
    one.addEventListener("toggle", () => tell("cover", !covers.some((each) => each.open)));
  }
  for (const one of page.querySelectorAll("[data-act]")) one.hidden = false;
  fold();
  // A picture, and what the fonts make of the lines, may come after this.
  document.fonts.ready.then(fold);
  page.addEventListener("load", fold, true);
  window.addEventListener("resize", fold);

  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || document.querySelector("dialog[open]")) return;
    const key = pressed(event);
    const way = arrow(event);
    if (way?.[0] && onPage(event, page.querySelector(".witness-pictures"))) turn(way[0] > 0 ? "next" : "previous");
    else if (key in TURNS) turn(TURNS[key]);
    else if (key in LAYERS) layer(LAYERS[key]);
    else if (key === "w") whole();
    else return;
    event.preventDefault();
  });
});
