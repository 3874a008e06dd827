/* Choosing what is hidden on a page of a document: words by pointer or keys, areas by two corners.
 * What is chosen is kept in a field of the form until it is marked; it is a draft like any other. */
import { arrow, command, pressed } from "../../shell/js/keys.js";
import { ask } from "../../shell/js/page_of.js";
import { say } from "../../shell/js/say.js";
import { widget } from "../../shell/js/widgets.js";
import { across, between, inNextLine, nearest, shortened, under } from "./words.js";

const WHOLE = 10000;
const SMALLEST = 10;
const STEP = 50;
const FAR = 10;
const DRAGGED_PX = 6;
const SVG = "http://www.w3.org/2000/svg";

widget("redact-document", (form) => {
  const part = (name) => form.querySelector(`[data-part="${name}"]`);
  const [stage, overlay, field, rows, picture, look] = ["stage", "overlay", "marks", "rows", "picture", "look"].map(part);
  const page = Number(form.dataset.page);
  const whole = picture.src;
  const state = { words: [], chosen: [], at: -1, from: -1, corner: null, cross: null, held: null };

  const tool = () => form.querySelector('input[name="tool"]:checked').value;
  const isArea = () => tool() === "area";
  const tell = (words, about = "") => {
    part("words").textContent = words;
    say(words, about);
  };
  const count = () => `${state.chosen.length} ${state.chosen.length === 1 ? "choice" : "choices"}`;

  const rect = (box, kind) => {
    const [left, top, right, bottom] = box;
    const made = document.createElementNS(SVG, "rect");
    for (const [name, value] of Object.entries({ x: left, y: top, width: right - left, height: bottom - top, class: kind })) made.setAttribute(name, value);
    return made;
  };
  const cross = ([x, y]) => {
    const made = document.createElementNS(SVG, "path");
    made.setAttribute("d", `M${x - 150} ${y}H${x + 150}M${x} ${y - 120}V${y + 120}`);
    made.setAttribute("class", "cross");
    return made;
  };
  const boxesOf = (one) => one.boxes ?? between(state.words, one.first, one.last).flatMap((word) => word.boxes);
  const run = () => (state.at < 0 ? [] : state.words.slice(Math.min(state.at, state.from), Math.max(state.at, state.from) + 1));

  const show = () => {
    for (const old of overlay.querySelectorAll(":not(.marked)")) old.remove();
    const drawn = state.chosen.flatMap((one) => boxesOf(one).map((box) => rect(box, "chosen")));
    if (!isArea()) drawn.push(...run().flatMap((word) => word.boxes.map((box) => rect(box, state.from === state.at && !state.held ? "at" : "drawing"))));
    if (isArea() && state.corner && state.cross) drawn.push(rect(across(state.corner, state.cross), "drawing"));
    if (isArea() && state.cross) drawn.push(cross(state.cross));
    overlay.append(...drawn);
    part("undo").setAttribute("aria-disabled", String(!state.chosen.length));
  };

  const nameOf = (one) => (one.boxes ? "area" : `“${shortened(between(state.words, one.first, one.last).map((word) => word.text).join(" "))}”`);
  const list = () => {
    rows.replaceChildren(...state.chosen.map((one, index) => {
      const row = part("row").content.firstElementChild.cloneNode(true);
      row.querySelector('[data-part="name"]').textContent = nameOf(one);
      row.querySelector('[data-part="number"]').textContent = index + 1;
      row.querySelector('[data-part="drop"]').addEventListener("click", () => {
        state.chosen.splice(index, 1);
        tell(`Removed. ${count()} left.`);
        keep();
        (rows.children[Math.min(index, rows.children.length - 1)]?.querySelector("button") ?? stage).focus();
      });
      return row;
    }));
  };
  const keep = () => {
    field.value = state.chosen.length ? JSON.stringify(state.chosen) : "";
    field.dispatchEvent(new Event("input", { bubbles: true }));
    list();
    show();
  };
  const add = (one, words) => {
    state.chosen.push(one);
    Object.assign(state, { corner: null });
    tell(`${words} ${count()}, not marked yet.`);
    keep();
  };
  const chooseRun = () => {
    const words = run();
    if (!words.length) return tell("There is no word here. Draw an area instead.");
    const one = { page, first: words[0].first, last: words.at(-1).last };
    state.from = state.at;
    return add(one, `Chosen: ${nameOf(one)}.`);
  };
  const setCorner = (point) => {
    if (!state.corner) {
      Object.assign(state, { corner: point, cross: point });
      tell("Corner set. Now set the corner across.");
      return show();
    }
    const box = across(state.corner, point);
    if (Math.min(box[2] - box[0], box[3] - box[1]) < SMALLEST) {
      state.corner = null;
      tell("Too small to hide anything. Draw it larger.");
      return show();
    }
    return add({ page, boxes: [box] }, "Area chosen.");
  };
  const undo = () => {
    if (state.corner) state.corner = null;
    else if (!state.chosen.pop()) return tell("Nothing to undo.");
    tell(`Undone. ${count()} left.`);
    return keep();
  };

  const pointOf = (event) => {
    const box = stage.getBoundingClientRect();
    const share = (at, from, size) => Math.min(WHOLE, Math.max(0, Math.round(((at - from) / size) * WHOLE)));
    return [share(event.clientX, box.left, box.width), share(event.clientY, box.top, box.height)];
  };
  const stopLooking = () => {
    if (look.getAttribute("aria-pressed") !== "true") return;
    look.setAttribute("aria-pressed", "false");
    look.textContent = "Preview marked page";
    picture.src = whole;
    overlay.removeAttribute("visibility");
  };

  stage.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || state.held) return;
    stopLooking();
    const point = pointOf(event);
    const word = under(state.words, point);
    if (!isArea() && word < 0) return;
    event.preventDefault();
    stage.focus({ preventScroll: true });
    state.held = { id: event.pointerId, x: event.clientX, y: event.clientY, first: !state.corner };
    stage.setPointerCapture(event.pointerId);
    if (isArea()) {
      if (!state.corner) setCorner(point);
    } else {
      Object.assign(state, { at: word, from: word });
      show();
    }
  });
  stage.addEventListener("pointermove", (event) => {
    if (isArea() ? !state.corner : !state.held) return;
    const point = pointOf(event);
    if (isArea()) state.cross = point;
    else {
      const word = nearest(state.words, point);
      if (word >= 0) state.at = word;
    }
    show();
  });
  stage.addEventListener("pointerup", (event) => {
    const { held } = state;
    if (held?.id !== event.pointerId) return;
    state.held = null;
    if (!isArea()) {
      chooseRun();
      return;
    }
    const moved = Math.hypot(event.clientX - held.x, event.clientY - held.y) > DRAGGED_PX;
    if (!held.first || moved) setCorner(pointOf(event));
  });
  stage.addEventListener("pointercancel", () => {
    Object.assign(state, { held: null, corner: null });
    show();
  });

  const goWord = ([right, down], longer) => {
    if (!state.words.length) return tell("No word can be read on this page. Draw areas instead.");
    let next = state.at < 0 ? 0 : state.at + right;
    if (state.at >= 0 && down) next = inNextLine(state.words, state.at, Math.sign(down));
    state.at = Math.min(state.words.length - 1, Math.max(0, next));
    if (!longer) state.from = state.at;
    say(run().map((word) => word.text).join(" "), "word");
    return show();
  };
  const goCross = (way) => {
    const from = state.cross ?? [WHOLE / 2, WHOLE / 2];
    state.cross = from.map((value, axis) => Math.min(WHOLE, Math.max(0, value + way[axis] * STEP)));
    say(`Crosshair at ${Math.round(state.cross[0] / 100)}, ${Math.round(state.cross[1] / 100)} percent.`, "crosshair");
    show();
  };
  stage.addEventListener("keydown", (event) => {
    const key = pressed(event);
    const way = arrow(event, isArea() ? FAR : 1);
    if (way) {
      stopLooking();
      if (isArea()) goCross(way);
      else goWord(way, event.shiftKey);
    } else if (key === "Enter" || key === " ") {
      stopLooking();
      if (isArea()) setCorner(state.cross ?? [WHOLE / 2, WHOLE / 2]);
      else chooseRun();
    } else if (key === "Escape" && (state.corner || state.from !== state.at)) {
      Object.assign(state, { corner: null, from: state.at });
      tell("What was begun is left.");
      show();
    } else if (key === "Backspace" || command(event) === "undo") undo();
    else return;
    event.preventDefault();
  });
  part("undo").addEventListener("click", undo);
  for (const one of form.querySelectorAll('input[name="tool"]')) {
    one.addEventListener("change", () => {
      stage.dataset.tool = tool();
      Object.assign(state, { corner: null, at: -1, from: -1 });
      show();
    });
  }

  look.addEventListener("click", () => {
    if (look.getAttribute("aria-pressed") === "true") return stopLooking();
    const next = new Image();
    next.src = `${form.dataset.picture}?burned=1&at=${Date.now()}`;
    return next.decode().then(
      () => {
        picture.src = next.src;
        overlay.setAttribute("visibility", "hidden");
        look.setAttribute("aria-pressed", "true");
        look.textContent = "Continue choosing";
        tell(state.chosen.length ? "This is how the page will look. What is chosen and not marked yet is not in it." : "This is how the page will look.");
      },
      () => tell("The preview could not be shown. Making the copy may still work."),
    );
  });

  const readChosen = () => {
    state.chosen = [];
    try {
      const before = JSON.parse(field.value || "[]");
      if (Array.isArray(before)) state.chosen = before.filter((one) => one.page === page);
    } catch {
      tell("What was chosen before could not be read. Choose it again.");
    }
    list();
    show();
  };
  form.addEventListener("draft:restored", readChosen);
  const readWords = async () => {
    const answer = await ask(form.dataset.words);
    const said = await answer.json();
    if (!answer.ok) return tell(said.refused ?? said.message ?? "The words of this page could not be read. Draw areas instead.");
    state.words = said.words.map(([first, last, text, boxes]) => ({ first, last, text, boxes }));
    form.dataset.ready = "yes";
    if (!state.words.length) tell("No word can be read on this page: it is a picture. Draw areas instead.");
    return readChosen();
  };
  stage.dataset.tool = tool();
  readChosen();
  readWords().catch(() => tell("The words of this page could not be read. Draw areas instead."));
});
