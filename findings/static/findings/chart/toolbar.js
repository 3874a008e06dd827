/** The tools above the drawing: which is in hand, which can be used just now. */

export function pressTool(side, tool) {
  for (const button of side.querySelectorAll("button[data-tool]")) {
    button.setAttribute("aria-pressed", String(button.dataset.tool === tool));
  }
}

/** Undo and Redo keep the focus while there is nothing to take back; Finish is there for an outline. */
export function showSteps(side, { draft, steps }) {
  const dead = { undo: !draft && !steps.past.length, redo: Boolean(draft) || !steps.future.length };
  for (const [name, is] of Object.entries(dead)) {
    side.querySelector(`[data-act="${name}"]`)?.setAttribute("aria-disabled", String(is));
  }
  const finish = side.querySelector('[data-act="finish"]');
  if (finish) finish.hidden = !draft;
}
