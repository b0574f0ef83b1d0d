// The variants, one pressed; keeping, renaming and deleting them.
import { askName, askYes, button, make } from "./elements.js";
import { choose, isBase, scene, send } from "./scene.js";

export function makeVariants({ say }) {
  const list = make("div", { className: "tabs", role: "group", "aria-label": "Variants" });
  const rename = button("Rename", () => renamed(), { className: "quiet" });
  const remove = button("Delete", () => deleted(), { className: "quiet" });
  const keep = button("Keep as a variant", () => kept(), { className: "quiet" });
  const words = make("p", { className: "help" });
  const tools = make("div", { className: "buttons" }, keep, rename, remove);
  const element = make("div", { className: "variants" }, list, tools, words);

  const done = (answer, told) => say(answer.ok ? told : answer.found.words, !answer.ok);

  async function kept() {
    const name = await askName(isBase() ? "Keep what you changed as a variant" : `Begin another variant from “${scene.variant}”`, "", "Its name", "Keep");
    if (name === null) return;
    const answer = await send("/api/variant", { do: "keep", name, variant: isBase() ? null : scene.variant });
    if (answer.ok) choose({ variant: name });
    done(answer, `“${name}” is a variant now.`);
  }

  async function renamed() {
    const name = scene.variant;
    const to = await askName(`Rename “${name}”`, name, "New name", "Rename");
    if (to === null || to === name) return;
    const answer = await send("/api/variant", { do: "rename", name, variant: name, to });
    if (answer.ok) choose({ variant: to });
    done(answer, `“${name}” is called “${to}” now.`);
  }

  async function deleted() {
    const name = scene.variant;
    if (!(await askYes(`Delete “${name}”?`, "It can be had back with Undo.", "Delete"))) return;
    done(await send("/api/variant", { do: "delete", name, variant: name }), `“${name}” is deleted.`);
  }

  function follow() {
    const { variants, mode } = scene.state;
    const names = JSON.stringify(variants.map((each) => each.name));
    if (list.dataset.names !== names) {
      list.dataset.names = names;
      list.replaceChildren(...variants.map((each) => button(each.name, () => choose({ variant: each.name }), { data: { name: each.name } })));
    }
    for (const each of list.children) each.setAttribute("aria-pressed", String(each.dataset.name === scene.variant));
    tools.hidden = mode === "customer";
    remove.hidden = isBase();
    const now = variants.find((each) => each.name === scene.variant);
    const said = now.changes ?? [];
    words.textContent = now.same ? "Nothing differs from the first variant yet: change something, or delete it before saving." : said.join(" · ");
    words.hidden = mode === "customer" || words.textContent === "";
  }

  return { element, follow };
}
