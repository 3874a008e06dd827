/* The picked points as lists beside the picture: choose, see the place, take away. */
function element(name, attributes = {}, words = "") {
  const found = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) found.setAttribute(key, value);
  if (words) found.textContent = words;
  return found;
}

const placeWords = (place) =>
  place ? `${place[0].toFixed(1)}, ${place[1].toFixed(1)}` : "not picked";

function line(label, place, chosen, group, index, act) {
  const found = element("li");
  const choose = element("button", { type: "button", class: "measure-point", "aria-pressed": chosen });
  choose.append(element("span", {}, label), element("span", { class: "quiet" }, placeWords(place)));
  choose.addEventListener("click", () => act(group, index, false));
  found.append(choose);
  if (place) {
    const away = element("button", { type: "button", class: "link-button", "aria-label": `Remove: ${label}` }, "Remove");
    away.addEventListener("click", () => act(group, index, true));
    found.append(away);
  }
  return found;
}

function ownMark(index, mm) {
  return ["x", "y"].map((axis, at) => {
    const input = element("input", {
      type: "number", step: "any", inputmode: "decimal", class: "measure-mm", value: mm[at],
      "data-mm": `${index} ${at}`, "aria-label": `Mark ${index + 1}, ${axis} in mm`,
    });
    return input;
  });
}

/* The control that had the focus gets it again, because the lists are made anew. */
function keepingFocus(list, fill) {
  const before = [...list.querySelectorAll("button, input")].indexOf(document.activeElement);
  fill();
  if (before !== -1) list.querySelectorAll("button, input")[before]?.focus();
}

export function fillPoints(scaleList, objectList, points, act) {
  const { chosen } = points;
  const is = (group, index) => chosen.group === group && chosen.index === index;
  keepingFocus(scaleList, () => {
    const lines = points.scale.map((each, index) => {
      const made = line(each.label, each.px, is("scale", index), "scale", index, act);
      if (points.scaleName === "own") {
        made.classList.add("own-mark");
        made.firstChild.after(...ownMark(index, each.mm));
      }
      return made;
    });
    scaleList.replaceChildren(...lines);
  });
  keepingFocus(objectList, () => {
    const count = Math.min(points.object.length + 1, points.most);
    const lines = Array.from({ length: count }, (_, index) =>
      line(points.objectLabel(index), points.object[index] ?? null, is("object", index), "object", index, act),
    );
    objectList.replaceChildren(...lines);
  });
}
