// What the floor comes to: main figures, everything else, warnings, the plan; each of the revision it stands beside.
import { button, clamp, drawing, make, sentence } from "./elements.js";
import { ask, query } from "./server.js";
import { edit, scene } from "./scene.js";

const PIXELS = 4.6, WIDE = [80, 150], STEP = 10; // of a millimetre of the plan, whose letters are 2.2 to 2.6 mm; of the plan, mm

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

  // How many millimetres the plan is wide: as many as it can have with letters that are read on this screen.
  // A little more or less space, as a scroll bar takes, asks for no other plan.
  let wide = WIDE[1];
  function across() {
    const fits = clamp(plan.clientWidth / PIXELS, ...WIDE);
    if (plan.clientWidth && Math.abs(fits - wide) > 0.75 * STEP) wide = Math.round(fits / STEP) * STEP;
    return wide;
  }

  async function follow() {
    const { revision } = scene.state, { variant } = scene, now = `${revision}|${variant}|${across()}`;
    if (now === wanted) return;
    wanted = now;
    controller?.abort();
    controller = new AbortController();
    for (const each of parts) { each.classList.add("old"); each.setAttribute("aria-busy", "true"); }
    const answer = await ask(query("/api/numbers", { revision, variant, plan: wide }), undefined, controller.signal);
    if (now !== wanted || answer.status === 410) return;
    if (answer.status === 0) { wanted = ""; return; }
    if (!answer.ok) { failed(answer.found); return; }
    Object.assign(figures.dataset, { revision, variant });
    fill(answer.found);
    for (const each of parts) { each.classList.remove("old"); each.removeAttribute("aria-busy"); }
  }

  async function tried(edits) {
    const answer = await edit(...edits);
    if (!answer.ok) failed(answer.found);
  }

  function fill(found) {
    const pair = (each) => make("div", {}, make("dt", {}, each.label), make("dd", {}, each.text));
    // A main figure: what it counts stands small beneath it.
    const figure = (each) => {
      const [text, ...counted] = each.text.replace(/(?<=\d) (?=(?:mm|cm|m)\b)/g, "\u00a0").split(", "); // no line ends within a length
      return make("div", {}, make("dt", {}, each.label), make("dd", {}, text, ...(counted.length ? [make("span", { className: "counted" }, counted.join(", "))] : [])));
    };
    const price = found.price ? [{ label: "Price", text: found.price }] : [];
    main.replaceChildren(...[...found.rows.filter((each) => each.main), ...price].map(figure));
    rows.replaceChildren(...found.rows.map(pair));
    const list = (title, items) => (items.length === 0 ? [] : [make("h2", {}, title), make("ul", {}, items.map((each) => make("li", {}, ...each)))]);
    const advice = ({ words, edits }) => [sentence(words), ...(edits.length ? [" ", button("Try it", () => tried(edits), { "aria-label": `Try it: ${words}` })] : [])];
    const { length } = found.warnings;
    warned = length === 0 ? "no warnings" : length === 1 ? "1 warning" : `${length} warnings`;
    warnings.replaceChildren(...list(warned, found.warnings.map((each) => [sentence(each)])), ...list("Advice", found.advice.map(advice)));
    const before = plan.querySelector(":scope > svg"), now = drawing(found.plan);
    if (before) before.replaceWith(now); else plan.prepend(now); // what lies on it stays, and in the hand that holds it
    told(found);
  }

  const are = (revision, variant) => figures.dataset.revision === String(revision) && figures.dataset.variant === variant;
  const inWords = () => [...[...main.children].map((each) => `${each.firstChild.textContent} ${each.lastChild.textContent}`), warned].join(", ");

  return { figures, all, plan, follow, are, inWords };
}
