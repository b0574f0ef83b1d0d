// The papers, made by the program: asked for, watched, fetched.
import { button, make } from "./elements.js";
import { ask } from "./server.js";
import { choose, scene } from "./scene.js";

const PAPERS = [
  ["quote", "Quote", "The price of this variant, on the firm's paper, with its plan."],
  ["page", "Page to send", "For the homeowner to keep: one file that opens without a network, to compare in and to look round in."],
  ["card", "Layer's card", "How to set out, what to cut and what to buy, for whoever lays the floor."],
  ["plan", "Plan", "A drawing to scale, to lay from."],
  ["pictures", "Pictures", "Every viewpoint of this variant, in full size."],
  ["sheet", "Comparison", "All variants side by side."],
];

const MOST_BESIDE = 3; // variants that a page has room for beside its first

// With what the page to send compares its variant: a box for each other one, the compared one ticked to begin with.
function makeBeside() {
  const boxes = make("div", { className: "boxes" });
  const element = make("fieldset", { className: "beside-it" }, make("legend", {}, "Compared on it with"), boxes);
  let known = "";

  const ticked = () => [...boxes.querySelectorAll("input:checked")].map((each) => each.value);

  function limit() {
    const full = ticked().length >= MOST_BESIDE;
    for (const each of boxes.querySelectorAll("input")) each.disabled = full && !each.checked;
  }

  function follow() {
    const others = scene.state.variants.map((each) => each.name).filter((each) => each !== scene.variant);
    element.hidden = others.length === 0;
    const now = JSON.stringify([scene.variant, scene.against, others]);
    if (now === known) return;
    known = now;
    const first = others.includes(scene.against) ? scene.against : others[0];
    boxes.replaceChildren(...others.map((each) => make("label", { className: "check" },
      make("input", { type: "checkbox", value: each, checked: each === first, on: { change: limit } }), each)));
  }

  return { element, follow, ticked };
}

export function makePapers() {
  const beside = makeBeside();
  const jobs = new Map(); // by job, the row that asked for it
  const chosen = make("p", { className: "help" });
  const which = make("select", { id: "papers-variant", on: { change: () => choose({ variant: which.value }) } });
  const variant = make("div", { className: "cell" }, make("label", { for: "papers-variant" }, "Variant"), which);
  const rows = PAPERS.map(([what, name, words]) => {
    const state = make("p", { className: "progress", role: "status" });
    const press = button("Make", () => order(), { "aria-label": `Make: ${name}` });
    const element = make("li", { data: { what } }, make("div", {}, make("h3", {}, name), make("p", { className: "help" }, words), what === "page" ? beside.element : null), press, state);

    async function order() {
      press.disabled = true;
      state.classList.remove("error");
      state.textContent = "Waiting for its turn";
      const answer = await ask("/api/papers", { what, variant: scene.variant, ...(what === "page" ? { beside: beside.ticked() } : {}) });
      if (!answer.ok) return fail(answer.found.words);
      jobs.set(answer.found.job, { hear });
      const early = unheard.get(answer.found.job);
      if (early) hear(early);
    }

    function hear(event) {
      if (event.done && event.failed) fail(event.words);
      else if (event.done) {
        press.disabled = false;
        state.replaceChildren(
          ...(what === "page" ? [make("a", { href: `/paper/${event.job}?open=1`, target: "_blank", rel: "noopener" }, "Open it and look round"), " "] : []),
          make("a", { href: `/paper/${event.job}`, download: "" }, event.name ? `Fetch ${event.name}` : `Fetch the ${name.toLowerCase()}`),
          ...(event.words && event.words !== "Done." ? [make("span", { className: "remark" }, ` ${event.words.replace(/^Done\. /, "")}`)] : []));
      } else state.textContent = event.words;
    }

    function fail(words) {
      press.disabled = false;
      state.classList.add("error");
      state.textContent = words;
    }

    return element;
  });
  const unheard = new Map(); // what was told of a job before its number was known
  const element = make("section", { className: "part", hidden: true }, make("h2", {}, "Papers"), variant, chosen, make("ul", { className: "papers" }, rows));

  function hear(event) {
    if (event.kind !== "progress" || event.job === "options") return;
    const row = jobs.get(event.job);
    if (row) row.hear(event); else unheard.set(event.job, event);
  }

  function follow() {
    which.replaceChildren(...scene.state.variants.map((each) => new Option(each.name, each.name, false, each.name === scene.variant)));
    beside.follow();
    chosen.textContent = `Of “${scene.variant}”, as it stands when you press Make${scene.state.saved ? "" : ", what is not saved yet included"}.`;
  }

  return { element, hear, follow, open: follow };
}
