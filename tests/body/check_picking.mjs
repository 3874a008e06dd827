/** Crown-heel lengths for the descriptions: measured, and not measured. */
const LENGTHS = [171.3, 96, null];

/** Pick and describe every vector with the given modules; null where nothing is picked. */
export async function answersTo(picking, position, read, vectors) {
  const bodies = new Map();
  for (const { body } of vectors) {
    if (!bodies.has(body)) bodies.set(body, await picking.loadBody(body, (path) => path, read));
  }
  return vectors.map(({ body: key, view, u, v }) => {
    const body = bodies.get(key);
    const found = picking.pick(body, view, u, v);
    if (!found) return null;
    const seen = picking.visibleIn(body, found.point, found).map((place) => place.view);
    const wordings = LENGTHS.map((cm) => position.describe(found.point, cm, found.normal).wording);
    return { ...found, seen_in: seen.sort(), wordings };
  });
}
