/** Mouse, finger and pen on the chart: draw with a tool, else move, pan, pinch and choose. */

import { hand } from "./hand.js";
import { openNumber } from "./rows.js";
import { isOnePlace } from "./strokes.js";

const CLICK_WITHIN_PX = 5;

/* Numbers and marks are small where there are many, so what lies nearest is meant: within 12 px each
 * way, on touch within 22 px (targets of 24 and 44 px; WCAG 2.2, 2.5.8). */
function nearestTo(svg, { clientX, clientY, pointerType }) {
  const reach = pointerType === "touch" ? 22 : 12;
  let best = null;
  let least = reach;
  for (const one of svg.querySelectorAll(".mark-label, .mark:is(.kind-point, .kind-paired)")) {
    const box = (one.querySelector(".label-box") ?? one).getBoundingClientRect();
    const away = Math.hypot(
      Math.max(box.left - clientX, 0, clientX - box.right),
      Math.max(box.top - clientY, 0, clientY - box.bottom),
    );
    if (away <= least && !(away === least && best)) [best, least] = [one, away];
  }
  return best;
}

/** Listen to a chart's pointers. */
export function watchPointer(chart) {
  const { svg, sight } = chart;
  const down = new Map();
  let stroke = null;
  let pen = null;

  /* The hand that rests beside a pen is neither a mark nor a second finger. */
  const isHandBesidePen = (event) => pen !== null && event.pointerType === "touch";

  const start = (event) => {
    if (event.button > 0 || isHandBesidePen(event)) return;
    if (event.pointerType === "pen") {
      pen = event.pointerId;
      down.clear();
    }
    down.set(event.pointerId, [event.clientX, event.clientY]);
    if (down.size > 1) {
      stroke = null; // a second finger means pinching, not drawing
      return;
    }
    const at = sight.pagePoint(event.clientX, event.clientY);
    hand.steps.settle();
    const moving = !chart.tool && event.target.classList?.contains("pending") && chart.movable;
    stroke = { from: [event.clientX, event.clientY], points: [at], last: at, moving, far: false, target: event.target };
    svg.setPointerCapture(event.pointerId);
  };

  const pinch = (event) => {
    const [one, two] = [...down.entries()];
    const other = one[0] === event.pointerId ? two[1] : one[1];
    const before = down.get(event.pointerId);
    const now = [event.clientX, event.clientY];
    const gap = ([x, y]) => Math.max(20, Math.hypot(x - other[0], y - other[1]));
    sight.zoom(gap(before) / gap(now), sight.pagePoint((now[0] + other[0]) / 2, (now[1] + other[1]) / 2));
    down.set(event.pointerId, now);
  };

  const follow = (event) => {
    if (isHandBesidePen(event)) return;
    if (down.size === 2 && down.has(event.pointerId)) {
      pinch(event);
      return;
    }
    const at = sight.pagePoint(event.clientX, event.clientY);
    if (!stroke) {
      chart.look(at);
      return;
    }
    const away = Math.hypot(event.clientX - stroke.from[0], event.clientY - stroke.from[1]);
    stroke.far ||= away > CLICK_WITHIN_PX;
    if (!stroke.far) return;
    if (chart.tool) draw(event);
    else if (stroke.moving) chart.move(at[0] - stroke.last[0], at[1] - stroke.last[1]);
    else sight.pan(stroke.last[0] - at[0], stroke.last[1] - at[1]);
    stroke.last = stroke.moving || chart.tool ? at : sight.pagePoint(event.clientX, event.clientY);
  };

  const draw = (event) => {
    // A pen reports more points than there are events.
    const all = event.getCoalescedEvents?.() ?? [];
    for (const one of all.length ? all : [event]) stroke.points.push(sight.pagePoint(one.clientX, one.clientY));
    chart.overlay.draw([], { kind: chart.tool, points: stroke.points });
  };

  const end = (event) => {
    if (isHandBesidePen(event)) return;
    if (event.pointerId === pen) pen = null;
    down.delete(event.pointerId);
    const done = stroke;
    stroke = null;
    if (!done || event.type === "pointercancel") {
      chart.redraw();
      return;
    }
    chart.at = done.last;
    if (done.moving && done.far) chart.sayMoved();
    if (chart.tool && done.far && !isOnePlace(chart.tool)) chart.stroke(done.points);
    else if (chart.tool) chart.addCorner(isOnePlace(chart.tool) ? sight.pagePoint(event.clientX, event.clientY) : done.points[0]);
    else if (!done.far) choose(event, done.target);
    chart.redraw();
  };

  const choose = (event, target) => {
    const hit = target.closest?.("[data-number]") ?? nearestTo(svg, event);
    if (hit) openNumber(hit.dataset.number);
  };

  svg.addEventListener("pointerdown", start);
  svg.addEventListener("pointermove", follow);
  svg.addEventListener("pointerup", end);
  svg.addEventListener("pointercancel", end);
  svg.addEventListener("pointerleave", () => {
    if (!stroke) chart.look(null);
  });
  svg.addEventListener(
    "wheel",
    (event) => {
      // Where the page scrolls as a whole, the wheel leads past the drawing.
      const root = document.documentElement;
      if (!event.ctrlKey && sight.isWhole && root.scrollHeight > root.clientHeight + 1) return;
      event.preventDefault();
      sight.zoom(event.deltaY > 0 ? 1.15 : 1 / 1.15, sight.pagePoint(event.clientX, event.clientY));
    },
    { passive: false },
  );
}
