// Other layouts of the room, ranked: each tried with one press.
import { askName, button, make, sentence } from "./elements.js";
import { ask, query } from "./server.js";
import { base, choose, edit, scene, send } from "./scene.js";

const WISHES = [["symmetry", "the same at both sides"], ["sightline", "a line from the door"], ["less-waste", "less waste"], ["fewer-cuts", "fewer cuts"]];

const KEPT = [["width", "board width"], ["border", "border width"], ["centre", "what it is centred on"]];

export function makeLayouts({ say }) {
  const state = make("p", { role: "status", className: "help" });
  const list = make("ol", { className: "layouts" });
  const wishes = WISHES.map(([name, words]) => make("label", { className: "check" }, make("input", { type: "checkbox", name: "prefer", value: name }), words));
  const held = KEPT.map(([name, words]) => make("label", { className: "check" }, make("input", { type: "checkbox", name: "keep", value: name, checked: name !== "centre" }), words));
  const find = button("Find layouts", () => ranked(), { className: "main" });
  const element = make("section", { className: "part", hidden: true }, make("h2", {}, "Layouts of this room, ranked"),
    make("p", { className: "help" }, "The program lays the room in every way that your choices leave open, and ranks what comes of it; this takes half a minute or so."),
    make("fieldset", {}, make("legend", {}, "What matters more"), wishes),
    make("fieldset", {}, make("legend", {}, "Keep as it is (a width that is not kept is also tried a little narrower and wider)"), held), find, state, list);
  let found = -1;

  async function ranked() {
    find.disabled = true;
    state.textContent = "Comparing layouts";
    const { revision } = scene.state, asked = new URLSearchParams({ revision });
    for (const each of element.querySelectorAll("input:checked")) asked.append(each.name, each.value);
    const answer = await ask(`/api/options?${asked}`);
    find.disabled = false;
    if (!answer.ok) { state.textContent = answer.status === 410 ? "The room or its floor was changed meanwhile; find layouts again." : answer.found.words; return; }
    found = revision;
    state.textContent = answer.found.options.length ? "" : "No other layout is possible.";
    list.replaceChildren(...answer.found.options.map((each) => make("li", {},
      make("h3", {}, each.own ? `${each.name} (as it is)` : each.name),
      make("p", {}, [each.words, each.boards, each.why].filter(Boolean).map(sentence).join(" ")),
      ...(each.gives_up?.length ? [make("p", { className: "help" }, `Gives up: ${each.gives_up.join("; ")}.`)] : []),
      make("div", { className: "buttons" },
        button("Try it", () => tried(each), { "aria-label": `Try ${each.name}` }),
        button("Keep as a variant", () => kept(each), { className: "quiet", "aria-label": `Keep ${each.name} as a variant` })))));
  }

  async function tried(each) {
    choose({ variant: base() });
    const answer = await edit(...each.edits.map(({ key, value }) => ({ key, value })));
    say(answer.ok ? `“${each.name}” is tried. Undo takes it back.` : answer.found.words, !answer.ok);
    if (answer.ok) location.hash = "#floor";
  }

  async function kept(each) {
    const name = await askName("Keep this layout as a variant", each.name, "Its name", "Keep");
    if (name === null) return;
    const answer = await send("/api/variant", { do: "keep", name, variant: null, edits: each.edits });
    if (answer.ok) { choose({ variant: name }); location.hash = "#floor"; }
    say(answer.ok ? `“${name}” is a variant now.` : answer.found.words, !answer.ok);
  }

  function hear(event) { if (event.kind === "progress" && event.job === "options" && find.disabled) state.textContent = event.words; }

  function follow() {
    if (found !== -1 && found !== scene.state.revision && !find.disabled) state.textContent = "These were found before the last change.";
  }

  return { element, hear, follow };
}
