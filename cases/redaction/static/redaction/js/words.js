/* Words of a page and points on it, in ten-thousandths of the page. No DOM. */

/** The box from one corner to the other. */
export function across([x1, y1], [x2, y2]) {
  return [Math.min(x1, x2), Math.min(y1, y2), Math.max(x1, x2), Math.max(y1, y2)];
}

/** The words from one place of the text to another. */
export function between(words, first, last) {
  return words.filter((word) => word.first >= first && word.last <= last);
}

/** Which word lies under a point; -1 where none does. */
export function under(words, [x, y]) {
  return words.findIndex((word) => word.boxes.some(([left, top, right, bottom]) => x >= left && x <= right && y >= top && y <= bottom));
}

/** Which word is nearest to a point, lines before columns; -1 where there is none. */
export function nearest(words, [x, y]) {
  let found = -1;
  let least = Infinity;
  words.forEach((word, at) => {
    for (const [left, top, right, bottom] of word.boxes) {
      const beside = Math.max(left - x, 0, x - right);
      const below = Math.max(top - y, 0, y - bottom);
      const far = beside + below * 4;
      if (far < least) [found, least] = [at, far];
    }
  });
  return found;
}

/** The word in the next line, down (1) or up (-1), that stands nearest; `at` itself at the end. */
export function inNextLine(words, at, way) {
  const middle = ([left, top, right, bottom]) => [(left + right) / 2, (top + bottom) / 2];
  const [here] = words[at].boxes;
  const [x, y] = middle(here);
  const beyond = words
    .map((word, index) => ({ index, box: word.boxes[0], far: (middle(word.boxes[0])[1] - y) * way }))
    .filter(({ far }) => far > (here[3] - here[1]) / 2);
  const next = Math.min(...beyond.map(({ far }) => far));
  const line = beyond.filter(({ box, far }) => far - next < (box[3] - box[1]) / 2);
  const beside = ({ box }) => Math.max(box[0] - x, 0, x - box[2]);
  return line.sort((one, other) => beside(one) - beside(other))[0]?.index ?? at;
}

/** A few words of a long choice. */
export function shortened(text, most = 80) {
  return text.length > most ? `${text.slice(0, most - 1)}…` : text;
}
