/* Computes the SHA-256 of a chosen file here, so that the file itself is not sent.
 *
 * <form data-widget="digest"> has a text field "known" and a file field "file". Where the browser
 * gives no digests (a page without TLS), the file is sent as the form says.
 */
import { say } from "../../shell/js/say.js";
import { widget } from "../../shell/js/widgets.js";

const hex = (bytes) => [...new Uint8Array(bytes)].map((one) => one.toString(16).padStart(2, "0")).join("");

widget("digest", (form) => {
  const known = form.elements.namedItem("known");
  const file = form.elements.namedItem("file");
  if (!known || !file || !globalThis.crypto?.subtle) return;
  file.addEventListener("change", async () => {
    const chosen = file.files[0];
    if (!chosen) return;
    try {
      known.value = hex(await crypto.subtle.digest("SHA-256", await chosen.arrayBuffer()));
    } catch {
      // Too large for this device: the form sends it.
      return;
    }
    file.value = "";
    known.dispatchEvent(new Event("input", { bubbles: true }));
    say(`The digest of ${chosen.name} is computed. The file is not sent.`);
  });
});
