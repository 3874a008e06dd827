/* Finds what a person sees, by what it is and how it is called. A name that ends with "…" begins so. */
(() => {
  const KINDS = {
    button: "button, [role=button], summary",
    chart: "[role=application]",
    field: "input:not([type=hidden]), select, textarea",
    group: "fieldset, [role=group], [role=radiogroup]",
    heading: "h1, h2, h3, h4",
    image: "img, [role=img]",
    link: "a[href]",
    list: "ol, ul, [role=list]",
    words: "body *",
  };
  const plain = (text) => text.replace(/\s+/g, " ").trim();

  const wordsIn = (one) => {
    const copy = one.cloneNode(true);
    copy.querySelectorAll("[aria-hidden=true], input, select, textarea").forEach((part) => part.remove());
    return plain(copy.textContent);
  };

  const nameOf = (one) => {
    const by = one.getAttribute("aria-labelledby");
    if (by) return plain(by.split(/\s+/).map((id) => document.getElementById(id)?.textContent ?? "").join(" "));
    if (one.ariaLabel) return plain(one.ariaLabel);
    if (one.matches("img")) return plain(one.alt);
    const named = one.matches("fieldset") ? one.querySelectorAll("legend") : one.labels;
    return named?.length ? wordsIn(named[0]) : wordsIn(one);
  };

  const isSeen = (one) => one.checkVisibility({ visibilityProperty: true })
    && [...one.getClientRects()].some((box) => box.width > 1 && box.height > 1);

  /* A choice is often an input without a size of its own, inside the label that is touched. */
  const touched = (one) => (one.matches("[type=radio], [type=checkbox]") && one.labels?.length
    ? one.labels[0] : one);

  const fits = (name, wanted) => (wanted.endsWith("…")
    ? name.startsWith(wanted.slice(0, -1)) : name === wanted);

  const all = (kind, name, within = null) => {
    const around = within ? all(...within)[0] : document;
    if (!around) return [];
    const found = [...around.querySelectorAll(KINDS[kind])]
      .filter((one) => fits(nameOf(one), name) && isSeen(touched(one)));
    /* Of elements around the same words, the innermost. */
    return kind === "words" ? found.filter((one) => !found.some((other) => other !== one && one.contains(other))) : found;
  };

  const place = (one) => {
    if (!one) return { free: false, over: "no such thing is there" };
    const target = touched(one);
    target.scrollIntoView({ block: "center", inline: "nearest", behavior: "instant" });
    /* The first line of a link that goes on in a second one. */
    const [box] = target.getClientRects();
    const at = { x: box.left + box.width / 2, y: box.top + box.height / 2 };
    const there = document.elementFromPoint(at.x, at.y);
    const free = Boolean(there) && (target.contains(there) || there.contains(target));
    return { ...at, free, over: there?.outerHTML.slice(0, 120) ?? "nothing" };
  };

  return { all, place, nameOf, isSeen };
})()
