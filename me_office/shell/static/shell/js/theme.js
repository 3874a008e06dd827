/* Light, dark or as the device: at once, and kept in a cookie for the next page. */
import { widget } from "./widgets.js";

const A_YEAR_S = 31_536_000;

function apply(theme) {
  const root = document.documentElement;
  const secure = window.location.protocol === "https:" ? "; Secure" : "";
  if (theme === "device") {
    delete root.dataset.theme;
    document.cookie = `theme=; Path=/; Max-Age=0; SameSite=Lax${secure}`;
  } else {
    root.dataset.theme = theme;
    document.cookie = `theme=${theme}; Path=/; Max-Age=${A_YEAR_S}; SameSite=Lax${secure}`;
  }
  for (const button of document.querySelectorAll('button[name="theme"]')) {
    button.setAttribute("aria-pressed", String(button.value === theme));
  }
}

widget("theme", (form) => {
  form.addEventListener("click", (event) => {
    const button = event.target.closest('button[name="theme"]');
    if (!button) return;
    event.preventDefault();
    apply(button.value);
  });
});
