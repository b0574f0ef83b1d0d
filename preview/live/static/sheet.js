// The choices, as the papers print them: a row for each, its name and what it is, which opens to what else it may be.
import { button, make, newId } from "./elements.js";
import { ask, query } from "./server.js";
import { base, edit, isBase, scene, value } from "./scene.js";

const OPEN = matchMedia("(min-width: 60rem)").matches ? ["Layout", "Boards", "Border", "Wood"] : ["Layout"]; // groups shown from the start
const COSTED = ["Layout", "Boards", "Border", "Wood"]; // groups whose choices change what has to be bought

export function makeSheet({ pickPoint }) {
  const sheet = make("div", { className: "sheet" });
  const rows = new Map();
  let made = "";

  function follow() {
    const controls = scene.state.controls ?? [];
    const now = JSON.stringify(controls);
    if (now !== made) build(controls, now);
    for (const row of rows.values()) row.follow();
    for (const group of sheet.children) group.hidden = ![...group.querySelectorAll(".row")].some((each) => !each.hidden);
  }

  function build(controls, now) {
    const opened = new Set([...rows].filter(([, row]) => row.opened()).map(([key]) => key));
    const first = made === "";
    const shut = new Set([...sheet.children].filter((each) => !each.open).map((each) => each.dataset.group));
    made = now;
    rows.clear();
    const groups = [...new Set(controls.map((each) => each.group))].map((group) => {
      const inside = controls.filter((each) => each.group === group).map((each) => {
        const row = makeRow(each, pickPoint);
        rows.set(each.key, row);
        if (opened.has(each.key)) row.open(true);
        return row.element;
      });
      const open = first ? OPEN.includes(group) : !shut.has(group);
      return make("details", { open, data: { group } }, make("summary", {}, make("h2", {}, group)), inside);
    });
    sheet.replaceChildren(...groups);
  }

  // Puts errors at the rows they are about; returns the words of those that are about none.
  function errors(found) {
    return (found ?? []).filter((each) => {
      const row = rows.get(each.key) ?? rows.get([...rows.keys()].find((key) => each.key?.startsWith(`${key}.`) || each.key?.endsWith(`.${key}`)));
      row?.fail(each.message);
      return row === undefined;
    }).map((each) => each.message);
  }

  // What the layout found for choices that the scene leaves to the program, by key.
  function use(found) {
    for (const [key, row] of rows) row.use(found[key] ?? "");
  }

  return { element: sheet, follow, errors, use };
}

function makeRow(control, pickPoint) {
  const id = newId("row");
  const shown = make("span", { className: "text" }), chip = make("img", { className: "chip", alt: "", width: 20, height: 20, hidden: true });
  const wrong = make("p", { className: "error", id: `${id}-error`, hidden: true });
  const inside = make("div", { className: "inside", id: `${id}-inside`, hidden: true, role: "group", "aria-label": control.label });
  const head = button([make("span", { className: "label" }, control.label), make("span", { className: "value" }, chip, shown)], () => open(inside.hidden),
    { className: "head", "aria-expanded": "false", "aria-controls": inside.id });
  const element = make("div", { className: "row", data: { key: control.key } }, head, wrong, inside);
  let choices = [], costs = null, costed = "", fields = null, undoOwn = null, used = { text: "" };

  function open(yes) {
    inside.hidden = !yes;
    head.setAttribute("aria-expanded", String(yes));
    if (yes && inside.childElementCount === 0) fill();
    if (yes) follow(); else costs?.abort();
  }

  async function set(to) {
    wrong.hidden = true;
    fields?.valid(true);
    element.classList.add("sending");
    const answer = await edit({ key: control.key, value: to });
    element.classList.remove("sending");
    if (answer.ok) { if (fields) fields.dirty = false; follow(); return; }
    fail(answer.found.errors?.[0]?.message ?? answer.found.words);
  }

  function fail(message) {
    wrong.textContent = message;
    wrong.hidden = false;
    element.closest("details").open = true;
    fields?.valid(false);
  }

  function fill() {
    const pictured = control.options.some((each) => each.picture);
    choices = control.options.map((option) => {
      const cost = make("span", { className: "cost" });
      const face = option.picture ? make("img", { alt: "", loading: "lazy", width: 88, height: 60 }) : null;
      const press = button([face, make("span", { className: "label" }, option.label), cost], () => set(option.value), { className: "choice", "aria-pressed": "false" });
      return { option, press, cost, face };
    });
    fields = control.kind === "date" ? dateFields(control, id, set)
      : control.kind === "place" ? placeFields(control, id, set, pickPoint)
      : control.free || control.options.length === 0 ? textField(control, id, wrong.id, set) : null;
    undoOwn = button("", () => set(null), { className: "quiet" });
    const other = control.key === "wood.seed" ? button("Show other boards", () => set(String(Number(value(control.key).text || 0) + 1))) : null;
    inside.append(
      ...(control.help ? [make("p", { className: "help", id: `${id}-help` }, control.help)] : []),
      make("ul", { className: pictured ? "choices pictured" : "choices", hidden: choices.length === 0 }, choices.map((each) => make("li", {}, each.press))),
      ...(other ? [other] : []), ...(fields ? [fields.element] : []), undoOwn);
  }

  function follow() {
    const now = value(control.key);
    element.hidden = !now?.shown;
    if (!now) return;
    const found = used.variant === scene.variant && used.value === JSON.stringify(now.value) ? used.text : "";
    shown.textContent = found || now.text || "left open";
    chip.hidden = !now.picture;
    if (now.picture && chip.getAttribute("src") !== now.picture) chip.src = now.picture;
    element.classList.toggle("own", now.own && !isBase());
    if (inside.hidden || inside.childElementCount === 0) return;
    for (const { option, press, face } of choices) {
      press.setAttribute("aria-pressed", String(same(option, now) || (control.kind === "direction" && found.startsWith(option.label))));
      if (face) {
        const address = `${option.picture}?${new URLSearchParams({ variant: scene.variant, revision: control.key.startsWith("paint") ? 0 : scene.state.revision })}`;
        if (face.getAttribute("src") !== address) face.src = address;
      }
    }
    fields?.follow(now);
    undoOwn.hidden = !now.own;
    undoOwn.textContent = isBase() ? "Leave it to the program" : `As in “${base()}”`;
    ownCosts();
  }

  async function ownCosts() {
    const key = `${scene.state.revision}|${scene.variant}`;
    if (!COSTED.includes(control.group) || choices.length === 0 || costed === key) return;
    costed = key;
    costs?.abort();
    costs = new AbortController();
    for (const each of choices) each.cost.classList.add("old");
    const answer = await ask(query("/api/costs", { revision: scene.state.revision, variant: scene.variant, key: control.key }), undefined, costs.signal);
    if (!answer.ok || answer.found.revision !== scene.state.revision) return;
    for (const { option, cost } of choices) {
      const found = answer.found.costs.find((each) => JSON.stringify(each.value) === JSON.stringify(option.value));
      cost.classList.remove("old");
      if (!found) continue;
      const warnings = found.warnings ? `${found.warnings} ${found.warnings === 1 ? "warning" : "warnings"}` : "";
      cost.textContent = found.error ? `not possible: ${found.error}` : [found.text, found.price, warnings].filter(Boolean).join(" · ");
    }
  }

  function use(text) {
    used = { text, variant: scene.variant, value: JSON.stringify(value(control.key)?.value) };
    follow();
  }

  const opened = () => !inside.hidden;
  return { element, follow, fail, open, opened, use };
}

const same = (option, now) => JSON.stringify(option.value) === JSON.stringify(now.value)
  || now.text === option.label || (now.text !== "" && now.text.replace(/"/g, " in") === option.label);

function textField(control, id, wrong, set) {
  const label = control.options.length ? "Any other" : control.label;
  const unit = control.unit === "in" ? "feet and inches" : control.unit;
  const input = make("input", { id: `${id}-field`, autocomplete: "off", spellcheck: false,
    "aria-describedby": `${control.help ? `${id}-help ` : ""}${wrong}`, inputMode: control.kind === "number" && !control.options.length ? "decimal" : "text",
    on: { input: () => { field.dirty = true; } } });
  const field = {
    dirty: false,
    element: make("form", { className: "field", on: { submit: (event) => { event.preventDefault(); set(input.value); } } },
      make("label", { for: input.id }, unit ? `${label} (${unit})` : label), input, make("button", { type: "submit" }, "Set")),
    follow: (now) => {
      const left = now.value === null || now.value === undefined; // the program's own
      input.placeholder = left ? now.text : "";
      if (!field.dirty) input.value = left ? "" : now.text; // what is being typed is not taken away
    },
    valid: (yes) => input.setAttribute("aria-invalid", String(!yes)),
  };
  return field;
}

function dateFields(control, id, set) {
  const pad = (number) => String(number).padStart(2, "0");
  const moment = make("input", { id: `${id}-moment`, type: "datetime-local", on: { input: () => { field.dirty = true; } } });
  const offset = make("input", { id: `${id}-offset`, size: 6, on: { input: () => { field.dirty = true; } } });
  const field = {
    dirty: false,
    element: make("form", { className: "field", on: { submit: (event) => { event.preventDefault(); set(`${moment.value}:00${offset.value.trim()}`); } } },
      make("label", { for: moment.id }, "Date and hour there"), moment,
      make("label", { for: offset.id }, "Ahead of UTC, such as -05:00"), offset, make("button", { type: "submit" }, "Set")),
    follow: (now) => {
      if (field.dirty) return;
      const found = /^(\d{4}-\d\d-\d\d)[T ](\d\d:\d\d).*?([+-]\d\d:\d\d|Z)?$/.exec(now.text || (typeof now.value === "string" ? now.value : ""));
      const today = new Date(), ahead = -today.getTimezoneOffset();
      moment.value = found ? `${found[1]}T${found[2]}` : `${today.getFullYear()}-${pad(today.getMonth() + 1)}-${pad(today.getDate())}T12:00`;
      offset.value = found?.[3]?.replace("Z", "+00:00") ?? `${ahead < 0 ? "-" : "+"}${pad(Math.floor(Math.abs(ahead) / 60))}:${pad(Math.abs(ahead) % 60)}`;
    },
    valid: (yes) => moment.setAttribute("aria-invalid", String(!yes)),
  };
  return field;
}

function placeFields(control, id, set, pickPoint) {
  const [east, north] = ["east", "north"].map((each) => make("input", { id: `${id}-${each}`, size: 8, autocomplete: "off", on: { input: () => { field.dirty = true; } } }));
  const field = {
    dirty: false,
    element: make("form", { className: "field", on: { submit: (event) => { event.preventDefault(); set({ point: [east.value, north.value] }); } } },
      make("label", { for: east.id }, "A point: east of the first corner"), east,
      make("label", { for: north.id }, "north of it"), north,
      make("button", { type: "submit" }, "Set"), button("Press it on the plan", pickPoint)),
    follow: (now) => { if (!field.dirty) [east.value, north.value] = now.value?.point?.map(String) ?? ["", ""]; },
    valid: (yes) => [east, north].forEach((each) => each.setAttribute("aria-invalid", String(!yes))),
  };
  return field;
}
