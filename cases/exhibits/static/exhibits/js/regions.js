/* What is hidden, as shapes over the picture: regions, the one that is begun, the crosshair. */
const SVG = "http://www.w3.org/2000/svg";

function made(kind, points, className) {
  const shape = document.createElementNS(SVG, kind);
  shape.setAttribute("points", points.map((point) => point.join(",")).join(" "));
  shape.setAttribute("class", className);
  return shape;
}

function cornersOf([[x1, y1], [x2, y2]]) {
  return [[x1, y1], [x2, y1], [x2, y2], [x1, y2]];
}

/** Width and height of what points go around. */
export function sizeOf(points) {
  return [0, 1].map((axis) => {
    const all = points.map((point) => point[axis]);
    return Math.max(...all) - Math.min(...all);
  });
}

function crossAt([x, y], arm, className) {
  return [
    made("polyline", [[x - arm, y], [x + arm, y]], className),
    made("polyline", [[x, y - arm], [x, y + arm]], className),
  ];
}

/** All shapes of the state of a drawing. */
export function shapesOf({ regions, points, at, cross }, isRectangle, { width }) {
  const shapes = regions.map((one) => made(
    "polygon", one.shape === "rectangle" ? cornersOf(one.points) : one.points, one.manner,
  ));
  const arm = width / 60;
  if (points.length && at) {
    shapes.push(isRectangle
      ? made("polygon", cornersOf([points[0], at]), "drawing")
      : made("polyline", [...points, at], "drawing"));
  }
  // The corner that waits for another one.
  if (points.length) shapes.push(...crossAt(points[0], arm / 2, "cross"));
  if (cross) shapes.push(...crossAt(cross, arm, "cross"));
  return shapes;
}
