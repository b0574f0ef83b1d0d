// What of a page has no room, in words; `target` says whether targets are measured: 24 pixels (WCAG 2.2, 2.5.8).
(target) => {
  const found = [], wide = document.documentElement.clientWidth;
  const seen = (each) => each.checkVisibility({ checkOpacity: true, checkVisibilityCSS: true }) && each.getClientRects().length > 0;
  const name = (each) => `${each.tagName.toLowerCase()}.${each.className} "${(each.innerText || each.value || each.ariaLabel || "").slice(0, 40)}"`;
  if (document.documentElement.scrollWidth > wide) found.push(`the page is ${document.documentElement.scrollWidth} wide`);
  const all = [...document.body.querySelectorAll("*")].filter((each) => seen(each) && !each.closest("svg, .unseen"));
  for (const each of all) {
    const box = each.getBoundingClientRect(), style = getComputedStyle(each);
    if (each.matches("button, a, input, select, textarea, summary, label, h1, h2, h3, p, dt, dd, li") && !each.closest(".handles")
      && (box.left < -1 || box.right > wide + 1)) found.push(`beyond the edge: ${name(each)}`);
    const hides = ["hidden", "clip"].some((way) => [style.overflowX, style.overflowY].includes(way));
    if (hides && !each.matches(".stage") && (each.scrollWidth > each.clientWidth + 1 || each.scrollHeight > each.clientHeight + 1))
      found.push(`cut off: ${name(each)}`);
  }
  const pressed = all.filter((each) => each.matches("button, a, input, select, textarea, summary") && !each.closest(".stage, .handles"));
  for (const each of pressed) {
    const { width, height } = each.getBoundingClientRect();
    if (target && Math.min(width, height) < 24 && !each.matches("p a, label input")) found.push(`${Math.round(width)} x ${Math.round(height)}: ${name(each)}`);
  }
  const texts = [...pressed, ...all.filter((each) => each.matches("h1, h2, h3, p, dt, dd, legend, label") && each.innerText && !each.closest(".stage, .handles, button, summary, label, #words"))]
    .filter((each) => !each.matches("#words"));
  texts.forEach((one, at) => texts.slice(at + 1).forEach((other) => {
    if (one.contains(other) || other.contains(one)) return;
    const scroller = (each) => each.closest(".side");
    if (scroller(one) !== scroller(other)) return; // one column scrolls by itself beside the other
    const a = one.getBoundingClientRect(), b = other.getBoundingClientRect();
    if (Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1)
      found.push(`one over the other: ${name(one)} and ${name(other)}`);
  }));
  return found;
}
