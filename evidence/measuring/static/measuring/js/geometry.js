/* Where the picture's window is and where points go: pure, without the page.
 * A window is {x, y, width, height} in pixels of the upright original.
 */
export const NEAREST_WINDOW_PX = 40;

const within = (value, low, high) => Math.min(Math.max(value, low), Math.max(low, high));

/* The window kept inside the picture and not smaller than NEAREST_WINDOW_PX. */
export function kept(view, size) {
  const width = within(view.width, NEAREST_WINDOW_PX, size.width);
  const height = (width * size.height) / size.width;
  return {
    x: within(view.x, 0, size.width - width),
    y: within(view.y, 0, size.height - height),
    width,
    height,
  };
}

/* The window after zooming by a factor around a place that stays where it is. */
export function zoomed(view, factor, place, size) {
  const width = within(view.width / factor, NEAREST_WINDOW_PX, size.width);
  const share = width / view.width;
  return kept(
    {
      x: place[0] - (place[0] - view.x) * share,
      y: place[1] - (place[1] - view.y) * share,
      width,
      height: view.height * share,
    },
    size,
  );
}

/* The window moved so that a place is in it, with some room. */
export function showing(view, place, size) {
  const room = view.width * 0.08;
  const x = within(view.x, place[0] + room - view.width, place[0] - room);
  const y = within(view.y, place[1] + room - view.height, place[1] - room);
  return kept({ ...view, x, y }, size);
}

/* A place rounded to a tenth of a pixel and kept on the picture. */
export function onPicture(place, size) {
  const tenth = (value) => Math.round(value * 10) / 10;
  return [tenth(within(place[0], 0, size.width)), tenth(within(place[1], 0, size.height))];
}

/* The place moved by so many pixels. */
export function nudged(place, [across, down], size) {
  return onPicture([place[0] + across, place[1] + down], size);
}

/* The index of the place within `reach`, or -1. */
export function nearest(places, place, reach) {
  let found = -1;
  let least = reach;
  places.forEach((one, index) => {
    if (!one) return;
    const far = Math.hypot(one[0] - place[0], one[1] - place[1]);
    if (far <= least) [found, least] = [index, far];
  });
  return found;
}
