// The viewpoints as thumbnails, drawn anew after the large picture.
import { button, make } from "./elements.js";
import { query } from "./server.js";
import { choose, scene } from "./scene.js";

export function makeViews() {
  const element = make("div", { className: "views", role: "group", "aria-label": "Viewpoints" });
  let names = "", drawn = "", being = "", controller = null; // of what revision and variant they are, and are being drawn

  function follow() {
    const now = JSON.stringify(scene.state.views);
    if (now !== names) {
      names = now;
      drawn = "";
      element.replaceChildren(...scene.state.views.map((each) => button(
        [make("img", { alt: "", width: 160, height: 100 }), make("span", {}, each.name)],
        () => choose({ view: each.name, stand: null }), { data: { name: each.name } })));
    }
    for (const each of element.children) each.setAttribute("aria-pressed", String(scene.stand === null && each.dataset.name === scene.view));
    const wanted = `${scene.state.revision}|${scene.variant}`;
    if (wanted === drawn || wanted === being) return;
    controller?.abort();
    being = drawn = "";
    for (const each of element.children) each.classList.add("old");
  }

  async function renew() {
    const { revision } = scene.state, { variant } = scene, now = `${revision}|${variant}`;
    if (drawn === now || being === now) return;
    being = now;
    const { signal } = (controller = new AbortController());
    for (const each of element.children) {
      try {
        const answer = await fetch(query("/picture", { revision, variant, view: each.dataset.name, size: "320x200", coarse: 1 }), { signal });
        if (!answer.ok) break;
        const image = each.querySelector("img"), before = image.src;
        image.src = URL.createObjectURL(await answer.blob());
        if (before.startsWith("blob:")) URL.revokeObjectURL(before);
        each.classList.remove("old");
      } catch { return; }
    }
    being = "";
    if (!element.querySelector(".old")) drawn = now;
  }

  return { element, follow, renew };
}
