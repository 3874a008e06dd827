/**
 * Where a surface point lies on the measured body, in the words of a report: the same as the
 * server's `findings/body/position.py`. Derived values; one measured by hand takes precedence.
 *
 *     describe(found.point, 171.0, found.normal).wording
 */
import { sideOf } from "./midline.js";

const CROWN_HEEL = 1000;
const FACES_BACK = -0.26;
const SHORTEST_CM = 5;
const TALLEST_CM = 300;

/**
 * Describe a surface point (thousandths of crown-heel length) with its outward normal. Lengths are
 * in centimeters, null without a crown-heel length or with one outside 5 to 300 cm.
 */
export function describe(point, crownHeelCm, normal) {
  const [x, , z] = point;
  const midline = normal[1] < FACES_BACK ? "posterior" : "anterior";
  const side = sideOf(x);
  const known = crownHeelCm >= SHORTEST_CM && crownHeelCm <= TALLEST_CM;
  const height = known ? toTenths((z * crownHeelCm) / CROWN_HEEL) : null;
  // Taken from the rounded height, so that the two printed numbers add up to the length.
  const below = known ? toTenths(crownHeelCm - height) : null;
  const offset = known ? toTenths((Math.abs(x) * crownHeelCm) / CROWN_HEEL) : null;
  return {
    heightAboveHeelCm: height,
    belowTopOfHeadCm: below,
    midlineOffsetCm: offset,
    midline,
    side,
    wording: `${vertical(z, height, below)} and ${across(x, offset, side, midline)}`,
  };
}

function vertical(z, height, below) {
  if (height === null) return `at ${percent(z)} % of the crown-heel length above the heel`;
  return `${height.toFixed(1)} cm above the heel, ${below.toFixed(1)} cm below the top of the head`;
}

function across(x, offset, side, midline) {
  if (side === "midline") return `in the ${midline} midline`;
  const far = offset === null ? `${percent(Math.abs(x))} % of it` : `${offset.toFixed(1)} cm`;
  return `${far} ${side} of the ${midline} midline`;
}

function percent(thousandths) {
  return toTenths((thousandths / CROWN_HEEL) * 100).toFixed(1);
}

/** Round to a tenth; exact halves go to the even tenth, as on the server. */
function toTenths(value) {
  const quarters = value * 4;
  if (Number.isInteger(quarters) && quarters % 2 !== 0) {
    const low = Math.floor(value * 10);
    return (low % 2 === 0 ? low : low + 1) / 10;
  }
  return Number(value.toFixed(1));
}
