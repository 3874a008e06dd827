/** The line below the drawing: what lies there, and then its distances. */

export function writeFoot(foot, [first, ...rest]) {
  const strong = document.createElement("strong");
  strong.textContent = first;
  const spans = rest.map((text) => {
    const span = document.createElement("span");
    span.textContent = text;
    return span;
  });
  foot.replaceChildren(strong, ...spans);
}
