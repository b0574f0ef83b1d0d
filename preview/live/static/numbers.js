// What the floor comes to: main figures, everything else, warnings, the plan; each of the revision it stands beside.
import { drawing, make } from "./elements.js";
import { ask, query } from "./server.js";
import { scene } from "./scene.js";

export function makeNumbers({ failed, told }) {
  const main = make("dl", { className: "main-figures" });
  const warnings = make("div", { className: "warnings" });
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
    fill(answer.found);
    for (const each of parts) { each.classList.remove("old"); each.removeAttribute("aria-busy"); }
    Object.assign(figures.dataset, { revision, variant });
  }

  function fill(found) {
    const pair = (each) => make("div", {}, make("dt", {}, each.label), make("dd", {}, each.text));
    const price = found.price ? [{ label: "Price", text: found.price }] : [];
    main.replaceChildren(...[...found.rows.filter((each) => each.main), ...price].map(pair));
    rows.replaceChildren(...found.rows.map(pair));
    const list = (title, sentences) => (sentences.length === 0 ? [] : [make("h2", {}, title), make("ul", {}, sentences.map((each) => make("li", {}, sentence(each))))]);
    warnings.replaceChildren(...list(found.warnings.length === 1 ? "1 warning" : `${found.warnings.length} warnings`, found.warnings), ...list("Advice", found.advice));
    plan.replaceChildren(drawing(found.plan));
    told(found);
  }

  return { figures, all, plan, follow };
}

const sentence = (text) => `${text[0].toUpperCase()}${text.slice(1)}${/[.!?]$/.test(text) ? "" : "."}`;
