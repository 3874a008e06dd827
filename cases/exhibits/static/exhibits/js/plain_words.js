/* Takes the offered plain words over into the field. */
import { widget } from "../../shell/js/widgets.js";

widget("offered-words", (offered) => {
  const field = document.getElementById(offered.dataset.for);
  const button = offered.querySelector("button");
  if (!field || !button) return;
  button.hidden = false;
  button.addEventListener("click", () => {
    field.value = offered.querySelector("q").textContent;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.focus();
  });
});
