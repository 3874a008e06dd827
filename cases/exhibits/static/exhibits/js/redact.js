/* Drawing what is hidden: two clicks or touches, a drag, keys or numbers, kept in original points. */
import { arrow, command, pressed } from "../../shell/js/keys.js";
import { say } from "../../shell/js/say.js";
import { Steps } from "../../shell/js/steps.js";
import { widget } from "../../shell/js/widgets.js";
import { shapesOf, sizeOf } from "./regions.js";

const CLOSE_PX = 14;
const DRAGGED_PX = 8;
const FAR = 10;
const SMALLEST = 4;

const copied = (value) => JSON.parse(JSON.stringify(value));

widget("redact", (form) => {
  const part = (name) => form.querySelector(`[data-part="${name}"]`);
  const size = { width: Number(form.dataset.width), height: Number(form.dataset.height) };
  const stage = part("stage");
  const field = part("regions");
  const rows = part("rows");
  const look = part("look");
  const copy = part("copy");
  const steps = new Steps();
  const state = { regions: [], points: [], at: null, held: null, cross: null };

  const chosen = (name) => form.querySelector(`input[name="tool-${name}"]:checked`).value;
  const isRectangle = () => chosen("shape") === "rectangle";
  const tell = (words, about = "") => {
    part("words").textContent = words;
    say(words, about);
  };
  const drawn = () => copied({ regions: state.regions, points: state.points });
  const countWords = () => {
    const count = state.regions.length;
    return `${count} ${count === 1 ? "region" : "regions"}`;
  };

  const inside = ([across, down]) => [
    Math.min(size.width, Math.max(0, Math.round(across))),
    Math.min(size.height, Math.max(0, Math.round(down))),
  ];

  const toOriginal = (event) => {
    const box = stage.getBoundingClientRect();
    return inside([
      ((event.clientX - box.left) / box.width) * size.width,
      ((event.clientY - box.top) / box.height) * size.height,
    ]);
  };

  const near = ([x1, y1], [x2, y2], px) => {
    const scale = stage.getBoundingClientRect().width / size.width;
    return Math.hypot(x1 - x2, y1 - y2) * scale < px;
  };

  const showSteps = () => {
    part("undo").setAttribute("aria-disabled", String(!steps.past.length));
    part("redo").setAttribute("aria-disabled", String(!steps.future.length));
  };

  const show = () => {
    part("overlay").replaceChildren(...shapesOf(state, isRectangle(), size));
    showSteps();
  };

  const stopLooking = () => {
    copy.hidden = true;
    part("overlay").removeAttribute("visibility");
    look.setAttribute("aria-pressed", "false");
    look.textContent = "Preview the copy";
  };

  const list = () => {
    rows.replaceChildren(...state.regions.map((one, index) => {
      const row = part("row").content.firstElementChild.cloneNode(true);
      const within = (name) => row.querySelector(`[data-part="${name}"]`);
      within("name").textContent = `Region ${index + 1}: ${one.shape}, ${sizeOf(one.points).join(" × ")} px`;
      within("number").textContent = index + 1;
      within("manner").value = one.manner;
      within("manner").addEventListener("change", (event) => {
        steps.note("manner", drawn());
        state.regions[index].manner = event.target.value;
        keep();
        // The rows are made anew.
        rows.children[index].querySelector("select").focus();
      });
      within("drop").addEventListener("click", () => {
        steps.note("drop", drawn());
        state.regions.splice(index, 1);
        tell(`Region ${index + 1} removed. ${countWords()} left.`);
        keep();
        (rows.children[Math.min(index, rows.children.length - 1)]?.querySelector("button") ?? stage).focus();
      });
      return row;
    }));
  };

  const showAll = () => {
    stopLooking();
    list();
    show();
  };

  const keep = () => {
    field.value = JSON.stringify(state.regions);
    // What is drawn is kept as what is typed is (draft.js).
    field.dispatchEvent(new Event("input", { bubbles: true }));
    showAll();
  };

  const finish = (points, shape = chosen("shape")) => {
    const [wide, high] = sizeOf(points);
    if (Math.min(wide, high) < SMALLEST) {
      Object.assign(state, { points: [], at: null });
      tell("Too small to hide anything. Draw it larger.");
      show();
      return;
    }
    steps.note("region", drawn());
    Object.assign(state, { points: [], at: null });
    const manner = chosen("manner");
    state.regions.push({ shape, manner, points });
    tell(`Region ${state.regions.length} drawn: ${shape}, ${wide} × ${high} px, ${manner === "blur" ? "blurred" : "covered"}.`);
    keep();
  };

  /* A corner; of a rectangle the second one finishes, of a polygon the first or the last one again. */
  const corner = (point) => {
    const { points } = state;
    if (isRectangle() && points.length) return finish([points[0], point]);
    if (points.length >= 3 && [points[0], points.at(-1)].some((one) => near(point, one, CLOSE_PX))) return finish([...points]);
    steps.note("corner", drawn());
    points.push(point);
    state.at = point;
    const next = isRectangle() ? "Now set the corner across." : points.length < 3 ? "" : "Set it again to close.";
    tell(`Corner ${points.length} set at ${point.join(", ")} px. ${next}`.trim());
    return show();
  };

  const carry = (step, again) => {
    if (!step) return tell(again ? "Nothing to do again." : "Nothing to take back.");
    Object.assign(state, { ...copied(step.marks), at: null });
    const begun = state.points.length ? ` ${state.points.length} of a shape's corners set.` : "";
    tell(`${again ? "Done again" : "Taken back"}. ${countWords()}.${begun}`);
    return keep();
  };
  const undo = () => carry(steps.undo(drawn()), false);
  const redo = () => carry(steps.redo(drawn()), true);

  stage.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || state.held) return;
    event.preventDefault();
    stage.focus({ preventScroll: true });
    stopLooking();
    state.cross = null;
    state.held = { id: event.pointerId, from: toOriginal(event), first: !state.points.length };
    if (isRectangle() && state.held.first) corner(state.held.from);
    stage.setPointerCapture(event.pointerId);
  });
  stage.addEventListener("pointermove", (event) => {
    if (!state.points.length) return;
    state.at = toOriginal(event);
    show();
  });
  stage.addEventListener("pointerup", (event) => {
    const { held } = state;
    if (held?.id !== event.pointerId) return;
    state.held = null;
    const at = toOriginal(event);
    // The first corner waits for another click, unless it was drawn out at once.
    if (!isRectangle() || !held.first || !near(at, held.from, DRAGGED_PX)) corner(at);
  });
  stage.addEventListener("pointercancel", () => {
    const began = state.held?.first;
    state.held = null;
    if (began && state.points.length) undo();
  });

  stage.addEventListener("keydown", (event) => {
    const key = pressed(event);
    const way = arrow(event, FAR);
    const cross = state.cross ?? inside([size.width / 2, size.height / 2]);
    if (way) {
      const step = Math.max(1, Math.round(size.width / 400));
      state.cross = inside(cross.map((value, axis) => value + way[axis] * step));
      if (state.points.length) state.at = state.cross;
      const [across, down] = state.cross;
      say(`Crosshair at ${across}, ${down} px.`, "crosshair");
      show();
    } else if (key === "Enter" || key === " ") {
      state.cross = cross;
      corner(cross);
    } else if (key === "c" && state.points.length >= 3) finish([...state.points]);
    else if (key === "Escape" && state.points.length) {
      steps.note("leave", drawn());
      Object.assign(state, { points: [], at: null });
      tell("The shape that was begun is taken back.");
      show();
    } else if (key === "Backspace" || command(event) === "undo") undo();
    else if (command(event) === "redo") redo();
    else return;
    event.preventDefault();
  });

  part("undo").addEventListener("click", undo);
  part("redo").addEventListener("click", redo);

  /* The same by numbers: no crosshair, no pointer. */
  part("numbers").hidden = false;
  part("add").addEventListener("click", () => {
    const [left, top, width, height] = ["left", "top", "width", "height"].map((name) => part(name).valueAsNumber);
    if (![left, top, width, height].every(Number.isFinite)) {
      tell("Enter left, top, width and height in pixels.");
      return;
    }
    finish([inside([left, top]), inside([left + width, top + height])], "rectangle");
  });
  part("numbers").addEventListener("keydown", (event) => {
    if (pressed(event) !== "Enter" || !event.target.matches("input")) return;
    // Enter adds the rectangle; it must not send the form.
    event.preventDefault();
    part("add").click();
  });

  look.addEventListener("click", () => {
    if (look.getAttribute("aria-pressed") === "true") return stopLooking();
    if (!state.regions.length) return tell("Draw a region first.");
    copy.src = `${form.dataset.preview}?regions=${encodeURIComponent(field.value)}`;
    return copy.decode().then(
      () => {
        copy.hidden = false;
        part("overlay").setAttribute("visibility", "hidden");
        look.setAttribute("aria-pressed", "true");
        look.textContent = "Continue drawing";
        tell("This is how the copy will look.");
      },
      () => tell("The preview could not be shown. Making the copy may still work."),
    );
  });

  for (const tool of form.querySelectorAll('input[name="tool-shape"]')) {
    tool.addEventListener("change", () => {
      Object.assign(state, { points: [], at: null });
      show();
    });
  }

  const readDrawn = () => {
    Object.assign(state, { regions: [], points: [], at: null });
    try {
      const before = JSON.parse(field.value || "[]");
      if (Array.isArray(before)) state.regions = before;
    } catch (error) {
      tell("What was drawn before could not be read. Draw it again.");
    }
    showAll();
  };
  form.addEventListener("draft:restored", () => {
    steps.clear();
    readDrawn();
  });
  readDrawn();
});
