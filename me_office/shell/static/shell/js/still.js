/* Lets words come and go by themselves, and leaves in its place what somebody is about to press.
 *
 * A press and its release that meet two different things are no click, and a control that moves as
 * the pointer comes down is another one. So nothing changes while something is pressed, and what
 * lies under the pointer stays where it is, or what is typed in, if a key was the last that moved:
 * the page is scrolled by as much as changed above it, and where it cannot be scrolled, the places
 * keep their height. A part that htmx fills and that says data-still changes so by itself.
 */
let under = null;
let isPressed = false;
const later = [];

document.addEventListener("pointermove", (event) => {
  under = event.target;
}, { capture: true, passive: true });
document.addEventListener("keydown", () => {
  under = null;
}, { capture: true, passive: true });
document.addEventListener("pointerdown", (event) => {
  under = event.target;
  isPressed = true;
}, { capture: true });
for (const name of ["pointerup", "pointercancel"]) {
  document.addEventListener(name, ({ pointerType }) => {
    // A finger that is lifted is nowhere.
    if (pointerType === "touch") under = null;
    // The click comes right after.
    window.setTimeout(() => {
      isPressed = false;
      for (const change of later.splice(0)) change();
    });
  }, { capture: true });
}

const above = (element) => element.getBoundingClientRect().top;

function held(places) {
  const isBeside = (element) => element?.isConnected && !places.some((place) => place.contains(element) || element.contains(place));
  return [under, document.activeElement].find(isBeside);
}

/** Have `change` made to the contents of these places, at the latest once nothing is pressed. */
export function changeStill(places, change) {
  if (isPressed) {
    return new Promise((done) => {
      later.push(() => done(changeStill(places, change)));
    });
  }
  const control = held(places);
  if (!control) return change();
  const before = above(control);
  const follow = () => window.scrollBy({ top: above(control) - before, behavior: "instant" });
  const heights = places.map((place) => place.offsetHeight);
  for (const place of places) place.style.minHeight = "";
  change();
  follow();
  if (Math.abs(above(control) - before) < 1) return undefined;
  places.forEach((place, at) => {
    place.style.minHeight = `${heights[at]}px`;
  });
  follow();
  return undefined;
}

document.addEventListener("htmx:beforeSwap", ({ detail }) => {
  const { target, serverResponse: words } = detail;
  if (!detail.shouldSwap || !("still" in target.dataset)) return;
  detail.shouldSwap = false;
  changeStill([target], () => window.htmx.swap(target, words, { swapStyle: "innerHTML" }));
});
