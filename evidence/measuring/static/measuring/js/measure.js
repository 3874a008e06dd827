/* Measuring in a photograph: pick by pointer or keys, see the office's answer, keep it.
 *
 * <div data-widget="measure" data-width data-height data-picture data-trial data-corner data-scales>
 * The office computes; this widget only picks. Places are pixels of the upright original.
 */
import { arrow, command, pressed } from "../../shell/js/keys.js";
import { ask } from "../../shell/js/page_of.js";
import { say } from "../../shell/js/say.js";
import { Steps } from "../../shell/js/steps.js";
import { widget } from "../../shell/js/widgets.js";
import { drawLoupe, drawPicked, fitToScreen } from "./drawing.js";
import { kept, nearest, nudged, onPicture, showing, zoomed } from "./geometry.js";
import { fillPoints } from "./lists.js";
import { Points } from "./points.js";

const WAIT_MS = 200;
const MOVED_PX = 6;
const GRAB_PX = 16;
const FAR = 10;
const SAID = {
  own: "Four marks or more, each with its position in mm: along the first arm, along the second.",
  rectangle: "A used card bends and its corners round off: check its sides.",
};

widget("measure", (root) => {
  const part = (name) => root.querySelector(`[data-part="${name}"]`);
  const size = { width: Number(root.dataset.width), height: Number(root.dataset.height) };
  const picture = part("picture");
  const loupe = part("loupe");
  const form = part("keep");
  const points = new Points(JSON.parse(root.dataset.scales));
  const steps = new Steps();
  let view = { x: 0, y: 0, ...size };
  let proposal = null;
  let wholeAsked = false;

  const number = (id) => Number(document.getElementById(id).value) || 0;
  const sizes = () => ({
    trueMm: number("true-mm"),
    width: number("card-width"),
    height: number("card-height"),
  });
  const settings = () => ({
    inPlane: document.getElementById("in-plane").checked,
    clickPx: number("click-px"),
    scaleMm: number("scale-mm"),
    tiltDeg: number("tilt-deg"),
    depthMm: number("depth-mm"),
  });
  const unit = () => view.width / (picture.clientWidth || size.width);

  /* The whole original is fetched once, when somebody begins to look closely. */
  function askForWhole() {
    if (wholeAsked) return;
    wholeAsked = true;
    const whole = new Image();
    whole.addEventListener("load", () => {
      part("image").setAttribute("href", whole.src);
      loupe.querySelector("image").setAttribute("href", whole.src);
    });
    loupe.querySelector("image").setAttribute("href", part("image").getAttribute("href"));
    whole.src = root.dataset.picture;
  }

  function draw() {
    picture.setAttribute("viewBox", `${view.x} ${view.y} ${view.width} ${view.height}`);
    fitToScreen(picture, unit());
    drawPicked(part("picked"), points, unit());
  }

  function showLists() {
    fillPoints(part("scale-points"), part("object-points"), points, act);
    const published = points.scales.find((each) => each.name === points.scaleName);
    if (published) part("source").textContent = `${published.source}. Graduations only; four or more.`;
    else part("source").textContent = SAID[points.scaleName] || "";
    for (const name of ["tilt", "depth"]) part(name).hidden = points.scaleName !== "straight";
    part("straight").hidden = points.scaleName !== "straight";
    part("rectangle").hidden = points.scaleName !== "rectangle";
    const scaleChosen = points.chosen.group === "scale" && points.place;
    root.querySelector('[data-act="corner"]').disabled = !scaleChosen;
  }

  /* ---- steps: each is said, and can be taken back ---- */
  const where = (place, at = "at") =>
    place ? `${at} ${place.map((each) => each.toFixed(1)).join(", ")} px` : "not picked";
  const sayChosen = () => say(`${points.label()}: ${where(points.place)}.`, "point");

  function noted(name, before, chosen) {
    if (points.picked === before) return;
    const place = points.places(chosen.group)[chosen.index];
    steps.note(name, before, JSON.stringify(chosen));
    if (name === "remove") say(`${points.label(chosen)} removed.`);
    else if (name === "clear") say("The points of what is measured are removed.");
    else say(`${points.label(chosen)} ${name === "move" ? where(place, "moved to") : where(place, "set at")}.`, "point");
  }

  function change(name, does) {
    const { picked, chosen } = points;
    does();
    noted(name, picked, chosen);
  }

  function carry(step, again) {
    if (!step) {
      say(again ? "Nothing to do again." : "Nothing to take back.");
      return;
    }
    points.picked = step.marks;
    say(`${again ? "Done again" : "Taken back"}. ${points.label()}: ${where(points.place)}.`);
    show();
  }

  function showSteps() {
    for (const [name, some] of Object.entries({ undo: steps.past, redo: steps.future })) {
      root.querySelector(`[data-act="${name}"]`).setAttribute("aria-disabled", String(!some.length));
    }
  }

  function show() {
    const place = points.place;
    if (place) view = showing(view, place, size);
    draw();
    showLists();
    showSteps();
    if (place) drawLoupe(loupe, place);
    proposal = null;
    part("proposal").hidden = true;
    keep();
    askOffice();
  }

  /* The form's draft (draft.js) hears of what is picked as of what is typed. */
  function keep() {
    const { measured } = form.elements;
    const before = measured.value;
    measured.value = points.isEmpty && !before ? "" : JSON.stringify(points.reading(settings()));
    if (measured.value !== before) measured.dispatchEvent(new Event("input", { bubbles: true }));
  }

  function act(group, index, remove) {
    points.chosen = { group, index };
    if (remove) change("remove", () => points.remove(group, index));
    else sayChosen();
    show();
  }

  /* ---- the answer ---- */
  let waiting = 0;
  let asking = null;

  function answer({ words, residual = "", warnings = [], covered = [], left_out: leftOut = [], refused = false }) {
    part("covers").hidden = !covered.length;
    part("covered").textContent = `Included: ${covered.join("; ")}.`;
    part("left-out").textContent = `Not included: ${leftOut.join("; ")}.`;
    if (part("words").textContent !== words) say([words, ...warnings].join(" "), "answer");
    part("words").textContent = words;
    part("words").classList.toggle("stop", refused);
    part("residual").textContent = residual;
    part("warnings").replaceChildren(
      ...warnings.map((warning) => {
        const line = document.createElement("li");
        line.textContent = `${warning[0].toUpperCase()}${warning.slice(1)}.`;
        return line;
      }),
    );
  }

  function askOffice() {
    window.clearTimeout(waiting);
    asking?.abort();
    const { lacking } = points;
    if (lacking) answer({ words: lacking });
    else waiting = window.setTimeout(send, WAIT_MS);
  }

  async function send() {
    asking = new AbortController();
    try {
      const got = await ask(root.dataset.trial, {
        method: "POST",
        signal: asking.signal,
        headers: { "Content-Type": "application/json" },
        body: JSON.stringify(points.reading(settings())),
      });
      const found = await got.json();
      if (!got.ok) answer({ words: found.message, refused: true });
      else if (found.refusal) answer({ words: `Not measured: ${found.refusal}.`, refused: true });
      else answer({ ...found, residual: `${found.interval[0].toUpperCase()}${found.interval.slice(1)}; residual ${found.residual}` });
    } catch (error) {
      if (error.name !== "AbortError") answer({ words: "The office cannot be reached. Your points are kept.", refused: true });
    }
  }

  /* ---- the corner ---- */
  async function askForCorner() {
    const [x, y] = points.place;
    const got = await ask(`${root.dataset.corner}?x=${x}&y=${y}`);
    const found = got.ok ? await got.json() : { found: false };
    part("proposal").hidden = false;
    root.querySelector('[data-act="take-corner"]').hidden = !found.found;
    root.querySelector('[data-act="leave-corner"]').hidden = !found.found;
    proposal = found.found ? [found.x, found.y] : null;
    part("proposal-words").textContent = found.found
      ? `A corner lies ${found.moved_px.toFixed(1)} px away, at ${found.x.toFixed(1)}, ${found.y.toFixed(1)}. Look in the magnifier.`
      : "No clear corner near this point. Pick by eye.";
    say(part("proposal-words").textContent);
    if (proposal) drawLoupe(loupe, proposal);
  }

  const acts = {
    in: () => zoom(1.6),
    out: () => zoom(1 / 1.6),
    whole: () => zoom(1e-6),
    kept: (button) => {
      const on = button.getAttribute("aria-pressed") !== "true";
      button.setAttribute("aria-pressed", on);
      part("kept").classList.toggle("is-hidden", !on);
    },
    corner: askForCorner,
    "take-corner": () => {
      change("move", () => points.put(onPicture(proposal, size)));
      show();
    },
    "leave-corner": () => show(),
    object: () => {
      points.chooseObject();
      show();
    },
    clear: () => {
      change("clear", () => {
        points.object = [];
        points.chooseObject();
      });
      show();
    },
    undo: () => carry(steps.undo(points.picked), false),
    redo: () => carry(steps.redo(points.picked), true),
  };

  function zoom(factor, place) {
    if (factor > 1) askForWhole();
    const middle = [view.x + view.width / 2, view.y + view.height / 2];
    view = zoomed(view, factor, place || points.place || middle, size);
    draw();
  }

  root.addEventListener("click", (event) => {
    const button = event.target.closest("[data-act]");
    if (button) acts[button.dataset.act](button);
  });

  /* ---- pointer ---- */
  function placeOf(event) {
    const at = new DOMPoint(event.clientX, event.clientY);
    const found = at.matrixTransform(picture.getScreenCTM().inverse());
    return onPicture([found.x, found.y], size);
  }

  function lookAt(event) {
    const box = picture.getBoundingClientRect();
    loupe.classList.toggle("at-left", event.clientX > box.left + box.width / 2);
    drawLoupe(loupe, placeOf(event));
  }

  let held = null;

  picture.addEventListener("pointerenter", askForWhole);
  picture.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    askForWhole();
    const place = placeOf(event);
    const grabbed = ["object", "scale"]
      .map((group) => ({ group, index: nearest(points.places(group), place, GRAB_PX * unit()) }))
      .find((each) => each.index !== -1);
    held = { grabbed, at: [event.clientX, event.clientY], view, moved: false, picked: points.picked };
    if (grabbed) points.chosen = grabbed;
    picture.setPointerCapture(event.pointerId);
  });

  picture.addEventListener("pointermove", (event) => {
    lookAt(event);
    if (!held) return;
    const [dx, dy] = [event.clientX - held.at[0], event.clientY - held.at[1]];
    held.moved ||= Math.hypot(dx, dy) > MOVED_PX;
    if (!held.moved) return;
    if (held.grabbed) {
      points.put(placeOf(event));
      drawPicked(part("picked"), points, unit());
    } else {
      const each = held.view.width / picture.clientWidth;
      view = kept({ ...held.view, x: held.view.x - dx * each, y: held.view.y - dy * each }, size);
      draw();
    }
  });

  picture.addEventListener("pointerup", (event) => {
    if (!held) return;
    const { grabbed, moved, picked } = held;
    held = null;
    if (!grabbed && moved) return;
    steps.settle();
    if (grabbed) {
      if (moved) noted("move", picked, grabbed);
      else sayChosen();
    } else {
      change(points.place ? "move" : "set", () => points.put(placeOf(event)));
      points.goOn();
    }
    const before = view;
    show();
    view = before;
    draw();
    lookAt(event);
  });
  picture.addEventListener("pointercancel", () => (held = null));
  picture.addEventListener(
    "wheel",
    (event) => {
      if (!event.ctrlKey) return;
      event.preventDefault();
      zoom(event.deltaY < 0 ? 1.2 : 1 / 1.2, placeOf(event));
    },
    { passive: false },
  );

  /* ---- keys ---- */
  const keys = {
    n: () => stepTo(1),
    p: () => stepTo(-1),
    Delete: () => points.place && change("remove", () => points.remove(points.chosen.group, points.chosen.index)),
    Enter: () => {
      const middle = onPicture([view.x + view.width / 2, view.y + view.height / 2], size);
      if (!points.place) change("set", () => points.put(middle));
      else {
        points.goOn();
        sayChosen();
      }
    },
    Backspace: acts.undo,
  };
  function stepTo(by) {
    points.step(by);
    sayChosen();
  }
  const zooms = { "+": 1.6, "-": 1 / 1.6, 0: 1e-6 };

  picture.addEventListener("keydown", (event) => {
    const key = pressed(event);
    const way = arrow(event, FAR);
    const place = points.place && way && nudged(points.place, way, size);
    const asked = command(event);
    // A held key is one step; each press is one of its own.
    if (!event.repeat) steps.settle();
    if (asked) {
      event.preventDefault();
      acts[asked]();
      return;
    }
    if (!place && !(key in keys) && !(key in zooms)) return;
    event.preventDefault();
    askForWhole();
    if (key in zooms) {
      zoom(zooms[key]);
      return;
    }
    if (place) change("move", () => points.put(place));
    else keys[key]();
    show();
  });

  /* ---- the panel's fields ---- */
  root.addEventListener("change", (event) => {
    const { name, value, id, dataset } = event.target;
    if (name === "kind") points.setKind(value);
    else if (name === "scale_name" || ["true-mm", "card-width", "card-height"].includes(id)) {
      const chosen = root.querySelector('input[name="scale_name"]:checked').value;
      if (chosen !== points.scaleName) {
        points.chosen = { group: "scale", index: 0 };
        // Points of another scale can't come back into this one.
        steps.clear();
      }
      points.setScale(chosen, sizes());
    } else if (dataset.mm) {
      const [index, axis] = dataset.mm.split(" ").map(Number);
      points.scale[index].mm[axis] = Number(value) || 0;
    } else if (!["in-plane", "click-px", "scale-mm", "tilt-deg", "depth-mm"].includes(id)) return;
    show();
  });
  new ResizeObserver(draw).observe(picture);

  function restore() {
    if (!form.elements.measured.value) return;
    const sent = JSON.parse(form.elements.measured.value);
    const found = points.restore(sent);
    root.querySelector(`input[name="kind"][value="${sent.kind}"]`).checked = true;
    root.querySelector(`input[name="scale_name"][value="${sent.scale_name}"]`).checked = true;
    document.getElementById("in-plane").checked = sent.scale_in_plane;
    if (sent.scale_name === "straight") {
      document.getElementById("true-mm").value = found.trueMm;
      document.getElementById("tilt-deg").value = sent.tilt_deg;
      document.getElementById("depth-mm").value = sent.depth_mm;
    }
    if (sent.scale_name === "rectangle") {
      document.getElementById("card-width").value = found.width;
      document.getElementById("card-height").value = found.height;
    }
  }

  form.addEventListener("draft:restored", () => {
    steps.clear();
    points.empty();
    restore();
    show();
  });
  restore();
  show();
});
