/** Pick every vector with the given picking module; null where nothing is picked. */
export async function answersTo(picking, read, vectors) {
  const bodies = new Map();
  for (const { body } of vectors) {
    if (!bodies.has(body)) bodies.set(body, await picking.loadBody(body, (path) => path, read));
  }
  return vectors.map(({ body: key, view, u, v }) => {
    const body = bodies.get(key);
    const found = picking.pick(body, view, u, v);
    if (!found) return null;
    const seen = picking.visibleIn(body, found.point, found).map((place) => place.view);
    return { ...found, seen_in: seen.sort() };
  });
}
