/** The panel's forms: terms follow the class; the marks that were drawn go along as values. */
import { widget } from "../../shell/js/widgets.js";

widget("finding-form", (form) => {
  const { klass, term } = form.elements;
  if (!klass || !term) return;
  const offer = () => {
    const list = `terms-${klass.value.replaceAll(" ", "-")}`;
    term.setAttribute("list", document.getElementById(list) ? list : "terms-all");
  };
  klass.addEventListener("change", offer);
  offer();
});

/** The form beside the chart that takes marks, and how it takes them. */
export function markForm() {
  const form = document.querySelector('[data-widget~="finding-form"], [data-widget~="mark-form"]');
  if (!form) return null;
  if (form.elements.marks) return { form, many: true };
  return form.elements.points ? { form, many: false } : null;
}

/** The marks that a form already holds. */
export function marksIn({ form, many }) {
  try {
    if (many) return JSON.parse(form.elements.marks.value || "[]");
    const points = JSON.parse(form.elements.points.value || "[]");
    if (!points.length) return [];
    const { view, kind, end } = form.elements;
    const mark = { view: view.value, kind: kind.value, points };
    return [mark.kind === "paired" ? { ...mark, end: end?.value } : mark];
  } catch {
    return [];
  }
}

/* The draft is told what stood there first: marks may be put in before it begins (draft.js). */
function write(input, value) {
  input.dataset.sent ??= input.value;
  input.value = value;
}

/** Put marks into a form, and let the draft keep them. */
export function putMarks({ form, many }, marks) {
  if (many) {
    write(form.elements.marks, JSON.stringify(marks));
  } else {
    const mark = marks.at(-1);
    write(form.elements.kind, mark?.kind ?? "");
    write(form.elements.view, mark?.view ?? "");
    write(form.elements.points, mark ? JSON.stringify(mark.points) : "");
  }
  offerFor({ form }, marks);
  // After the widgets of a form that was just swapped in have begun, or its draft would miss the mark.
  queueMicrotask(() => form.dispatchEvent(new Event("change", { bubbles: true })));
}

/** Show the fields that the kinds drawn need: the count of a pattern, the far end of a pair. */
export function offerFor({ form }, marks) {
  const kinds = new Set(marks.map((mark) => mark.kind));
  for (const fields of form.querySelectorAll("[data-for-kind]")) fields.hidden = !kinds.has(fields.dataset.forKind);
}
