/* Drawing what is hidden: mouse, finger or keys over the screen copy, kept in original points. */
import { arrow, pressed } from "../../shell/js/keys.js";
import { widget } from "../../shell/js/widgets.js";

const SVG = "http://www.w3.org/2000/svg";
const CLOSE_PX = 14;
const FAR = 10;

function draw(kind, points, className) {
  const shape = document.createElementNS(SVG, kind);
  shape.setAttribute("points", points.map((point) => point.join(",")).join(" "));
  shape.setAttribute("class", className);
  return shape;
}

function corners([[x1, y1], [x2, y2]]) {
  return [[x1, y1], [x2, y1], [x2, y2], [x1, y2]];
}

widget("redact", (form) => {
  const part = (name) => form.querySelector(`[data-part="${name}"]`);
  const size = { width: Number(form.dataset.width), height: Number(form.dataset.height) };
  const stage = part("stage");
  const field = part("regions");
  const rows = part("rows");
  const look = part("look");
  const copy = part("copy");
  const state = { regions: [], points: [], at: null, dragging: false, cross: null };

  const chosen = (name) => form.querySelector(`input[name="tool-${name}"]:checked`).value;
  const say = (words) => { part("words").textContent = words; };

  const toOriginal = (event) => {
    const box = stage.getBoundingClientRect();
    const across = Math.round(((event.clientX - box.left) / box.width) * size.width);
    const down = Math.round(((event.clientY - box.top) / box.height) * size.height);
    return [
      Math.min(size.width, Math.max(0, across)),
      Math.min(size.height, Math.max(0, down)),
    ];
  };

  const near = ([x1, y1], [x2, y2]) => {
    const scale = stage.getBoundingClientRect().width / size.width;
    return Math.hypot(x1 - x2, y1 - y2) * scale < CLOSE_PX;
  };

  const show = () => {
    const overlay = part("overlay");
    const shapes = state.regions.map((one) => draw(
      "polygon", one.shape === "rectangle" ? corners(one.points) : one.points, one.manner,
    ));
    if (state.points.length && state.at) {
      const open = chosen("shape") === "rectangle"
        ? draw("polygon", corners([state.points[0], state.at]), "drawing")
        : draw("polyline", [...state.points, state.at], "drawing");
      shapes.push(open);
    }
    if (state.cross) {
      const [x, y] = state.cross;
      const arm = size.width / 60;
      shapes.push(draw("polyline", [[x - arm, y], [x + arm, y]], "cross"));
      shapes.push(draw("polyline", [[x, y - arm], [x, y + arm]], "cross"));
    }
    overlay.replaceChildren(...shapes);
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
      const inside = (name) => row.querySelector(`[data-part="${name}"]`);
      const xs = one.points.map(([x]) => x);
      const ys = one.points.map(([, y]) => y);
      const wide = Math.max(...xs) - Math.min(...xs);
      const high = Math.max(...ys) - Math.min(...ys);
      inside("name").textContent = `Region ${index + 1}: ${one.shape}, ${wide} × ${high} px`;
      inside("manner").value = one.manner;
      inside("manner").addEventListener("change", (event) => {
        one.manner = event.target.value;
        keep();
      });
      inside("drop").addEventListener("click", () => {
        state.regions.splice(index, 1);
        keep();
      });
      return row;
    }));
  };

  const keep = () => {
    field.value = JSON.stringify(state.regions);
    stopLooking();
    list();
    show();
  };

  const finish = (points) => {
    state.points = [];
    state.at = null;
    const xs = points.map(([x]) => x);
    const ys = points.map(([, y]) => y);
    if (Math.min(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)) < 4) {
      say("Too small to hide anything. Draw it larger.");
      show();
      return;
    }
    state.regions.push({ shape: chosen("shape"), manner: chosen("manner"), points });
    say(`Region ${state.regions.length} drawn.`);
    keep();
  };

  const corner = (point) => {
    const { points } = state;
    if (chosen("shape") === "rectangle" && points.length) return finish([points[0], point]);
    if (points.length >= 3 && near(point, points[0])) return finish([...points]);
    points.push(point);
    state.at = point;
    say(chosen("shape") === "rectangle" ? "Now the corner across." : `Corner ${points.length} set.`);
    return show();
  };

  stage.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    event.preventDefault();
    stage.focus({ preventScroll: true });
    stopLooking();
    state.cross = null;
    if (chosen("shape") === "rectangle") {
      state.points = [toOriginal(event)];
      state.dragging = true;
      stage.setPointerCapture(event.pointerId);
    } else corner(toOriginal(event));
  });
  stage.addEventListener("pointermove", (event) => {
    if (!state.points.length) return;
    state.at = toOriginal(event);
    show();
  });
  stage.addEventListener("pointerup", (event) => {
    if (!state.dragging) return;
    state.dragging = false;
    finish([state.points[0], toOriginal(event)]);
  });
  stage.addEventListener("pointercancel", () => {
    Object.assign(state, { dragging: false, points: [], at: null });
    show();
  });

  stage.addEventListener("keydown", (event) => {
    const key = pressed(event);
    const way = arrow(event, FAR);
    const cross = state.cross ?? [Math.round(size.width / 2), Math.round(size.height / 2)];
    if (way) {
      const step = Math.max(1, Math.round(size.width / 200));
      const [across, down] = way;
      state.cross = [
        Math.min(size.width, Math.max(0, cross[0] + across * step)),
        Math.min(size.height, Math.max(0, cross[1] + down * step)),
      ];
      if (state.points.length) state.at = state.cross;
      show();
    } else if (key === "Enter" || key === " ") {
      state.cross = cross;
      corner(cross);
    } else if (key === "c" && state.points.length >= 3) {
      finish([...state.points]);
    } else if (key === "Escape" && state.points.length) {
      Object.assign(state, { points: [], at: null });
      say("Canceled.");
      show();
    } else return;
    event.preventDefault();
  });

  look.addEventListener("click", () => {
    if (look.getAttribute("aria-pressed") === "true") return stopLooking();
    if (!state.regions.length) return say("Draw a region first.");
    copy.src = `${form.dataset.preview}?regions=${encodeURIComponent(field.value)}`;
    return copy.decode().then(
      () => {
        copy.hidden = false;
        part("overlay").setAttribute("visibility", "hidden");
        look.setAttribute("aria-pressed", "true");
        look.textContent = "Continue drawing";
        say("This is how the copy will look.");
      },
      () => say("The preview could not be shown. Making the copy may still work."),
    );
  });

  for (const tool of form.querySelectorAll('input[name="tool-shape"]')) {
    tool.addEventListener("change", () => {
      Object.assign(state, { points: [], at: null });
      show();
    });
  }

  try {
    const before = JSON.parse(field.value || "[]");
    if (Array.isArray(before)) state.regions = before;
  } catch (error) {
    say("What was drawn before could not be read. Draw it again.");
  }
  keep();
});
