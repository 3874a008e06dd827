/* A time that may not be exact: shows only the moments that its certainty needs.
 * Without this module all stay visible and the server takes what fits. */
import { widget } from "./widgets.js";

widget("uncertain-time", (group) => {
  const part = (name) => group.querySelector(`[data-part="${name}"]`);
  const certainty = part("certainty");
  const atLabel = part("at").querySelector("label");
  const atWords = atLabel.textContent;

  const chosen = () =>
    certainty.querySelector("input:checked")?.value ?? certainty.querySelector("select")?.value;

  /* What is put away is not sent either: what was begun there would be refused out of sight. */
  const show = (moment, isAsked) => {
    moment.hidden = !isAsked;
    for (const control of moment.querySelectorAll("input, select, button")) control.disabled = !isAsked;
  };

  const arrange = () => {
    const value = chosen();
    show(part("at"), value !== "unknown");
    show(part("until"), value === "between");
    atLabel.textContent = value === "between" ? atLabel.dataset.whenBetween : atWords;
  };

  part("until-note")?.remove();
  certainty.addEventListener("change", arrange);
  group.addEventListener("draft:restored", arrange);
  arrange();
});
