// Fields with their labels and what is wrong with them. Of a field that is being typed in, an error is told once one
// stops or leaves it; of one that is still empty, once one has been there.
import { make, newId } from "./elements.js";

const CALM = 1500; // ms after the last key before what is being typed is called wrong

// What a key lies in: of openings[2].offset, openings[2]; of that, openings.
const outer = (key) => /^(.*)(\.[^.[\]]+|\[\d+\])$/.exec(key)?.[1] ?? "";

export function makeFields() {
  const fields = new Map(); // by key as errors have it: {input, error}
  let been = new WeakSet(), typed = new WeakMap(), told = { errors: [], since: 0 }, later = null; // when each was typed in last, ms

  // A field under the key that errors about it have: a choice, lines of text, or a text.
  function cell(key, label, value, act, { choices, wide, hint, lines, help } = {}) {
    const id = newId("cell"), error = make("p", { className: "error", id: `${id}-error`, hidden: true });
    const said = help ? make("p", { className: "help", id: `${id}-help` }, help) : null;
    const on = { input: () => { typed.set(input, Date.now()); hide(fields.get(key)); act(input.value); }, blur: () => { been.add(input); show(); } };
    const input = choices
      ? make("select", { id, on: { change: () => act(input.value) } }, choices.map((each) => new Option(each, each, false, String(each) === String(value ?? ""))))
      : lines ? make("textarea", { id, rows: lines, value: value ?? "", spellcheck: false, on })
        : make("input", { id, value: value ?? "", autocomplete: "off", spellcheck: false, placeholder: hint ?? "", on });
    input.setAttribute("aria-describedby", `${said ? `${id}-help ` : ""}${error.id}`);
    fields.set(key, { input, error });
    return make("div", { className: ["cell", wide && "wide", (lines || help) && "whole"].filter(Boolean).join(" ") }, make("label", { for: id }, label), said, input, error);
  }

  const add = (key, field) => fields.set(key, field);
  const at = (key) => fields.get(key);

  function hide({ input, error }) {
    error.textContent = "";
    error.hidden = true;
    input.removeAttribute("aria-invalid");
  }

  // Puts the errors of what was typed until `since` at their fields; `tell` is called with what stands at none, and how
  // many are told, waiting and empty.
  function take(errors, since, tell, all = false) {
    if (all) for (const { input } of fields.values()) been.add(input);
    told = { errors, since, tell, all };
    show();
  }

  // Whether an error can wait: what is typed in has changed since, or is being typed; of lines, until they are all there.
  function waits(input, line) {
    const last = typed.get(input) ?? 0;
    if (last > told.since) return true;
    if (told.all || input !== document.activeElement) return false;
    if (input.tagName === "TEXTAREA" && !line) return true;
    const rest = CALM - (Date.now() - last);
    if (rest > 0) later = setTimeout(show, rest);
    return rest > 0;
  }

  function show() {
    clearTimeout(later);
    const { errors, tell } = told, left = [], count = { told: 0, typing: 0, empty: 0 };
    if (!tell) return;
    for (const each of fields.values()) hide(each);
    for (const each of errors) {
      let key = each.key.replace(".taped.", ".");
      while (key && !fields.has(key)) key = outer(key);
      const field = fields.get(key);
      if (!field) { left.push(each.message); count.told += 1; continue; }
      const { input, error } = field, line = /^room\.walk\[(\d+)\]/.exec(each.key);
      if (waits(input, line)) { count.typing += 1; continue; }
      if (input.value === "" && !been.has(input)) { count.empty += 1; continue; }
      error.textContent = [error.textContent, line ? `Wall ${line[1]}: ${each.message}` : each.message].filter(Boolean).join(" ");
      error.hidden = false;
      input.setAttribute("aria-invalid", "true");
      count.told += 1;
    }
    tell(left, count);
  }

  function clear() {
    clearTimeout(later);
    told = { errors: [], since: 0 };
    fields.clear();
  }

  return { cell, add, at, take, clear };
}
