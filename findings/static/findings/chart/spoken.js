/**
 * What the chart says of its marks, in sentences. No DOM: words in, words out. The server's
 * `findings/chart/spoken.py` says the same of a mark; `tests/findings/spoken.json` holds both.
 */

const KINDS = { point: "Point", line: "Line", area: "Area", pattern: "Patterned mark" };
const TOOLS = { ...KINDS, paired: "Entrance and exit" };
const UNDONE = {
  place: "The last mark is removed",
  move: "The mark is back where it was",
  size: "The mark has its earlier size",
};
const REDONE = { place: "The mark is back", move: "The mark is moved again", size: "The mark is sized again" };

/** What a mark is: "Point", "Entrance", "Far end". */
export function kindWord({ kind, end }) {
  if (kind === "paired") return end === "entrance" ? "Entrance" : "Far end";
  return KINDS[kind];
}

/**
 * Where a mark lies, part by part: the region and its side, the height, the way from the midline.
 * Lengths are in cm and null without a crown-heel length; `fromMidlineCm` is positive to the body's
 * left and 0 in the midline. A place of the midline says that once.
 */
export function placeParts({ place, aboveHeelCm = null, fromMidlineCm = null, midline = "", lengthCm = null, schematic = false }) {
  const said = [place];
  if (schematic) return [...said, "on a schematic drawing: measure the position by hand"];
  if (aboveHeelCm !== null) said.push(`${tapWords(aboveHeelCm, lengthCm)} above the heel`);
  if (fromMidlineCm === null || !midline) return said;
  const side = fromMidlineCm > 0 ? "left" : "right";
  if (fromMidlineCm !== 0) said.push(`${tapWords(Math.abs(fromMidlineCm), lengthCm)} ${side} of the ${midline} midline`);
  else if (!place.startsWith("Midline of")) said.push(`in the ${midline} midline`);
  return said;
}

/** "Point, right inguinal region, about 90 cm above the heel, about 9 cm right of the anterior midline." */
export function markSentence(mark, where) {
  const [place, ...rest] = placeParts(where);
  return `${[kindWord(mark), small(place), ...rest].join(", ")}.`;
}

/** A place alone as a sentence: "Right inguinal region, about 90 cm above the heel." */
export function placeSentence(where) {
  return `${placeParts(where).join(", ")}.`;
}

export function toolSentence(tool) {
  return tool ? `${TOOLS[tool]}: the tool is chosen.` : "The tool is put down.";
}

/** Said after a step was taken back or done again; `where` is the last mark's place, if one is left. */
export function stepSentence(name, again, left, where) {
  const done = again ? REDONE[name] : UNDONE[name];
  if (!left) return `${done}. No mark is left.`;
  return where ? `${done}: ${[small(placeParts(where)[0]), ...placeParts(where).slice(1)].join(", ")}.` : `${done}.`;
}

/** How large a mark is as drawn: "Larger: about 4.4 by 3.0 cm as drawn." */
export function sizeSentence(points, factor, lengthCm) {
  const word = factor > 1 ? "Larger" : "Smaller";
  if (!lengthCm) return `${word}.`;
  const span = (axis) => {
    const all = points.map((at) => at[axis]);
    return (((Math.max(...all) - Math.min(...all)) * lengthCm) / 1000).toFixed(1);
  };
  return `${word}: about ${span(0)} by ${span(1)} cm as drawn.`;
}

/** A derived length is no finer than a tap: the server's `sentences.length_words`. */
export function tapWords(centimeters, lengthCm) {
  if (lengthCm < 100) return `about ${(evenHalf(centimeters * 2) / 2).toFixed(1)} cm`;
  return `about ${evenHalf(centimeters)} cm`;
}

/* Halves go to the even number, as on the server. */
function evenHalf(value) {
  const low = Math.floor(value);
  if (value - low !== 0.5) return Math.round(value);
  return low % 2 === 0 ? low : low + 1;
}

function small(text) {
  return text[0].toLowerCase() + text.slice(1);
}
