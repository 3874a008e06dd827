/* Says in words that a picture did not come, where a browser shows a broken one. */
const WORDS = "This picture can’t be shown now. Reload the page to try again.";

function say(picture) {
  if (picture.hidden || !picture.currentSrc) return;
  const words = document.createElement("p");
  words.className = "picture-away";
  words.setAttribute("role", "status");
  words.textContent = WORDS;
  picture.hidden = true;
  picture.after(words);
}

/* An error of a picture does not bubble; this module may start after the first ones. */
document.addEventListener("error", (event) => {
  if (event.target instanceof HTMLImageElement) say(event.target);
}, true);
for (const picture of document.images) {
  if (picture.complete && !picture.naturalWidth) say(picture);
}
