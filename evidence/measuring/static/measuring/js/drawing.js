/* Draws what is picked over the picture, and the magnifier. */
const SVG = "http://www.w3.org/2000/svg";

export function made(name, attributes) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  return element;
}

const pathOf = (places) => places.map((place) => place.join(",")).join(" ");

function line(places, closed, kind) {
  const name = closed ? "polygon" : "polyline";
  const points = pathOf(places);
  return [
    made(name, { points, class: "line-under" }),
    made(name, { points, class: kind }),
  ];
}

/* A ring with a cross that leaves the middle free, so that the pixel under it stays visible. */
function handle(place, label, unit, chosen, group) {
  const [x, y] = place;
  const far = (chosen ? 12 : 8) * unit;
  const near = 3 * unit;
  const d =
    `M${x - far} ${y}H${x - near}M${x + near} ${y}H${x + far}` +
    `M${x} ${y - far}V${y - near}M${x} ${y + near}V${y + far}`;
  const part = made("g", { class: `handle handle-${group}${chosen ? " handle-chosen" : ""}` });
  const radius = { cx: x, cy: y, r: far * 0.75 };
  part.append(
    made("circle", { ...radius, class: "line-under" }),
    made("path", { d, class: "line-under" }),
    made("circle", { ...radius, class: "handle-line" }),
    made("path", { d, class: "handle-line" }),
  );
  const words = made("text", { x: x + far, y: y - far * 0.6, class: "line-words handle-words" });
  words.textContent = label;
  part.append(words);
  return part;
}

/* `unit` is how many pixels of the original one pixel of the screen shows. */
export function drawPicked(layer, points, unit) {
  const parts = [];
  const scale = points.scale.filter((each) => each.px);
  if (points.scaleName === "straight" && scale.length === 2) {
    parts.push(...line(scale.map((each) => each.px), false, "line-scale"));
  }
  if (points.object.length > 1) parts.push(...line(points.object, points.kind === "area", "line-dashed"));
  const { chosen } = points;
  points.scale.forEach((each, index) => {
    if (!each.px) return;
    const is = chosen.group === "scale" && chosen.index === index;
    const label = points.scaleName === "straight" && index === 1 ? `${each.mm[0]} mm` : each.label;
    parts.push(handle(each.px, label, unit, is, "scale"));
  });
  points.object.forEach((place, index) => {
    const is = chosen.group === "object" && chosen.index === index;
    parts.push(handle(place, String(index + 1), unit, is, "object"));
  });
  layer.replaceChildren(...parts);
}

/* Sizes of words and ends are those of the screen, at every zoom. */
export function fitToScreen(picture, unit) {
  picture.setAttribute("font-size", 16 * unit);
  for (const end of picture.querySelectorAll('[data-part="end"]')) end.setAttribute("r", 6 * unit);
}

const LOUPE_PX = 32;

export function drawLoupe(loupe, place) {
  const [x, y] = place;
  const half = LOUPE_PX / 2;
  loupe.setAttribute("viewBox", `${x - half} ${y - half} ${LOUPE_PX} ${LOUPE_PX}`);
  const d =
    `M${x - half} ${y}H${x - 1.5}M${x + 1.5} ${y}H${x + half}` +
    `M${x} ${y - half}V${y - 1.5}M${x} ${y + 1.5}V${y + half}`;
  for (const path of loupe.querySelectorAll("path")) path.setAttribute("d", d);
}
