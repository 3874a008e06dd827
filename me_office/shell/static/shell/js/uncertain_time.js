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

  const arrange = () => {
    const value = chosen();
    part("at").hidden = value === "unknown";
    part("until").hidden = value !== "between";
    atLabel.textContent = value === "between" ? atLabel.dataset.whenBetween : atWords;
  };

  part("until-note")?.remove();
  certainty.addEventListener("change", arrange);
  group.addEventListener("draft:restored", arrange);
  arrange();
});
