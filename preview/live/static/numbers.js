// What the floor comes to: main figures, everything else, warnings, the plan; each of the revision it stands beside.
import { drawing, make, sentence } from "./elements.js";
import { ask, query } from "./server.js";
import { scene } from "./scene.js";

export function makeNumbers({ failed, told }) {
  const main = make("dl", { className: "main-figures" });
  const warnings = make("div", { className: "warnings" });
  let warned = "no warnings";
  const figures = make("section", { className: "figures", "aria-label": "What it comes to" }, main, warnings);
  const rows = make("dl", { className: "rows" });
  const all = make("section", { className: "all" }, make("h2", {}, "The floor in numbers"), rows);
  const plan = make("div", { className: "plan" });
  const parts = [figures, all, plan];
  let wanted = "", controller = null;

  async function follow() {
    const { revision } = scene.state, { variant } = scene, now = `${revision}|${variant}`;
    if (now === wanted) return;
    wanted = now;
    controller?.abort();
    controller = new AbortController();
    for (const each of parts) { each.classList.add("old"); each.setAttribute("aria-busy", "true"); }
    const answer = await ask(query("/api/numbers", { revision, variant }), undefined, controller.signal);
    if (now !== wanted || answer.status === 410) return;
    if (answer.status === 0) { wanted = ""; return; }
    if (!answer.ok) { failed(answer.found); return; }
    Object.assign(figures.dataset, { revision, variant });
    fill(answer.found);
    for (const each of parts) { each.classList.remove("old"); each.removeAttribute("aria-busy"); }
  }

  function fill(found) {
    const pair = (each) => make("div", {}, make("dt", {}, each.label), make("dd", {}, each.text));
    const price = found.price ? [{ label: "Price", text: found.price }] : [];
    main.replaceChildren(...[...found.rows.filter((each) => each.main), ...price].map(pair));
    rows.replaceChildren(...found.rows.map(pair));
    const list = (title, sentences) => (sentences.length === 0 ? [] : [make("h2", {}, title), make("ul", {}, sentences.map((each) => make("li", {}, sentence(each))))]);
    const { length } = found.warnings;
    warned = length === 0 ? "no warnings" : length === 1 ? "1 warning" : `${length} warnings`;
    warnings.replaceChildren(...list(warned, found.warnings), ...list("Advice", found.advice));
    plan.replaceChildren(drawing(found.plan));
    told(found);
  }

  const are = (revision, variant) => figures.dataset.revision === String(revision) && figures.dataset.variant === variant;
  const inWords = () => [...[...main.children].map((each) => `${each.firstChild.textContent} ${each.lastChild.textContent}`), warned].join(", ");

  return { figures, all, plan, follow, are, inWords };
}
