/**
 * Where a surface point lies, in words: the region and its side, or the place in the midline. The
 * same as the server's `findings/body/midline.py`, from the same rows of `catalogue.json`.
 *
 *     placeWords(body, region, point);  // "Left cheek", "Midline of the forehead", "Gluteal cleft"
 */
const MIDLINE_WITHIN = 3;

/** The body's own side of a coordinate: left, right, or midline within 3 thousandths. */
export function sideOf(x) {
  if (Math.abs(x) <= MIDLINE_WITHIN) return "midline";
  return x > 0 ? "left" : "right";
}

/** The words for a point of a region (a row of the catalogue). */
export function placeWords(body, region, point) {
  const side = sideOf(point[0]);
  const across = region.side === "midline";
  const base = across ? region.key : region.key.slice(0, -2);
  const row = body.midlinePlaces.find(
    (one) => one.base === base && !(one.axis && point["xyz".indexOf(one.axis)] < one.from[body.key]),
  );
  if (side === "midline") {
    if (row) return row.midline;
    return across ? `Midline of the ${small(region.term)}` : region.term;
  }
  if (!across) return region.term;
  return `${side === "left" ? "Left" : "Right"} side of the ${row?.beside ?? small(region.term)}`;
}

function small(term) {
  return term[0].toLowerCase() + term.slice(1);
}
