/* Lets words come and go by themselves, and leaves in its place what somebody is about to press.
 *
 * A press and its release that meet two different things are no click, and a control that moves as
 * the pointer comes down is another one. So nothing changes while something is pressed, and what
 * lies under the pointer stays where it is, or what is typed in, if a key was the last that moved:
 * the page is scrolled by as much as changed above it, and where it cannot be scrolled, the places
 * keep their height. A part that htmx fills and that says data-still changes so by itself.
 */
let at = null;
let isPressed = false;
const later = [];

function letGo() {
  isPressed = false;
  for (const change of later.splice(0)) change();
}

// Where it is, not on what: a page that is scrolled brings something else under it.
for (const name of ["pointermove", "pointerdown", "wheel"]) {
  document.addEventListener(name, ({ clientX, clientY }) => {
    at = [clientX, clientY];
  }, { capture: true, passive: true });
}
document.addEventListener("keydown", () => {
  at = null;
}, { capture: true, passive: true });
document.addEventListener("pointerdown", () => {
  isPressed = true;
}, { capture: true });
document.addEventListener("pointermove", ({ buttons }) => {
  // A menu of the browser's own may have taken the release.
  if (isPressed && !buttons) letGo();
}, { capture: true, passive: true });
for (const name of ["pointerup", "pointercancel"]) {
  document.addEventListener(name, ({ pointerType }) => {
    // A finger that is lifted is nowhere.
    if (pointerType === "touch") at = null;
    // The click comes right after.
    window.setTimeout(letGo);
  }, { capture: true });
}

const above = (element) => element.getBoundingClientRect().top;

function held(places) {
  const isBeside = (element) => element?.isConnected && !places.some((place) => place.contains(element) || element.contains(place));
  const under = at && document.elementFromPoint(...at);
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
  const before = control && above(control);
  const follow = () => window.scrollBy({ top: above(control) - before, behavior: "instant" });
  const heights = places.map((place) => place.offsetHeight);
  for (const place of places) place.style.minHeight = "";
  change();
  if (!control) return undefined;
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
