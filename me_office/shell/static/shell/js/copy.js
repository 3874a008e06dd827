/* A button that copies what stands beside it, such as an address that is shown once:
 *   <code id="address">...</code>
 *   <button type="button" data-widget="copy" data-copies="address" hidden>Copy</button>
 * Where the browser lets no page write to the clipboard, the button stays hidden.
 */
import { say } from "./say.js";
import { widget } from "./widgets.js";

widget("copy", (button) => {
  const source = document.getElementById(button.dataset.copies);
  if (!source || !navigator.clipboard) return;
  button.hidden = false;
  const words = button.firstChild;
  const before = words.textContent;
  button.addEventListener("click", async () => {
    let done = "Copied";
    try {
      await navigator.clipboard.writeText(source.textContent.trim());
    } catch {
      done = "Not copied: select it and copy it by hand";
    }
    words.textContent = done;
    say(`${done}.`);
    setTimeout(() => (words.textContent = before), 4000);
  });
});
