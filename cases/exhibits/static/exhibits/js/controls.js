/* The courtroom screen's buttons: they hide by themselves, and come back on a movement, a touch or Tab.
 *
 * While the pointer is shown, the mouse steers it: the buttons come only where they lie.
 */
const SHOWN_FOR_MS = 4000;
const MOVED_PX = 4;
const SWIPE_PX = 60;

export class Controls {
  constructor(bar, room, { act, busy }) {
    Object.assign(this, { bar, room, busy, timer: 0, last: null });
    bar.hidden = false;
    // A touch that brings the buttons ends in a click on what lies there by then: that one is for
    // nobody, as its button was not to be seen when the finger came down.
    document.addEventListener("pointerdown", () => (this.shownBefore = this.shown), true);
    bar.addEventListener("click", (event) => {
      if (event.detail && !this.shownBefore) return;
      const button = event.target.closest("[data-act]");
      // After a click or a touch the keys are the picture's again, and the buttons may go; what a
      // button opens gives the focus back to where it was, so this comes first.
      if (event.detail) room.focus({ preventScroll: true });
      if (button && button.getAttribute("aria-disabled") !== "true") act(button.dataset.act);
    });
    bar.addEventListener("focusin", () => this.show());
    document.addEventListener("pointermove", (event) => this.moved(event));
  }

  get shown() {
    return document.body.hasAttribute("data-controls");
  }

  moved(event) {
    if (event.pointerType === "touch") return;
    const far = this.last && Math.hypot(event.clientX - this.last[0], event.clientY - this.last[1]);
    if (this.last && far < MOVED_PX) return;
    const first = !this.last;
    this.last = [event.clientX, event.clientY];
    if (first || (this.busy() && event.clientY > this.bar.offsetHeight * 1.5)) return;
    this.show();
  }

  show() {
    document.body.setAttribute("data-controls", "");
    window.clearTimeout(this.timer);
    this.timer = window.setTimeout(() => this.hide(), SHOWN_FOR_MS);
  }

  hide() {
    window.clearTimeout(this.timer);
    const focused = this.bar.contains(document.activeElement);
    if (focused || this.bar.matches(":hover") || document.querySelector("dialog[open]")) this.show();
    else document.body.removeAttribute("data-controls");
  }

  toggle() {
    if (this.shown) this.hide();
    else this.show();
  }
}

/** A finger or a pressed mouse on the picture: a tap, a swipe to one side, or a drag. */
export function watchFingers(room, { tap, swipe, drag }) {
  let held = null;
  const end = (event) => {
    if (!held || event.pointerId !== held.id) return;
    const [across, down] = [event.clientX - held.from[0], event.clientY - held.from[1]];
    const { touched, dragged } = held;
    held = null;
    if (!touched || event.type === "pointercancel") return;
    if (Math.hypot(across, down) < SWIPE_PX / 6) tap();
    else if (!dragged && Math.abs(across) > SWIPE_PX && Math.abs(across) > 1.5 * Math.abs(down)) swipe(across < 0 ? 1 : -1);
  };
  room.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    // A second finger is no swipe.
    if (held) held.dragged = true;
    else {
      const at = [event.clientX, event.clientY];
      held = { id: event.pointerId, from: at, at, touched: event.pointerType !== "mouse", dragged: false };
    }
  });
  room.addEventListener("pointermove", (event) => {
    if (!held || event.pointerId !== held.id) return;
    const by = [event.clientX - held.at[0], event.clientY - held.at[1]];
    held.at = [event.clientX, event.clientY];
    if (drag(by)) held.dragged = true;
  });
  room.addEventListener("pointerup", end);
  room.addEventListener("pointercancel", end);
}
