/* What a form does, as its markup says it: a field named "method" or "action" hides the form's own. */

export const isPost = (form) => form.getAttribute("method")?.toLowerCase() === "post";

export const goesTo = (form) =>
  new URL(form.getAttribute("action") || window.location.href, window.location.href).pathname;
