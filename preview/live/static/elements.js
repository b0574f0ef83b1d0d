// Elements made in one expression: a tag, its properties, what is in it.
export function make(tag, properties = {}, ...inside) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(properties)) {
    if (value === undefined || value === null) continue;
    if (name === "on") for (const [event, act] of Object.entries(value)) made.addEventListener(event, act);
    else if (name === "data") Object.assign(made.dataset, value);
    else if (name.includes("-") || name === "role" || name === "for" || name === "list") made.setAttribute(name, value);
    else made[name] = value;
  }
  made.append(...inside.flat().filter((each) => each !== null && each !== undefined && each !== false));
  return made;
}

export const button = (words, act, properties = {}) => make("button", { type: "button", on: { click: act }, ...properties }, words);

let count = 0;
export const newId = (name) => `${name}-${(count += 1)}`;

// An SVG text as an element, without its own size.
export function drawing(text) {
  const svg = document.importNode(new DOMParser().parseFromString(text, "image/svg+xml").documentElement, true);
  svg.removeAttribute("width");
  svg.removeAttribute("height");
  return svg;
}

export const sentence = (text) => `${text[0].toUpperCase()}${text.slice(1)}${/[.!?]$/.test(text) ? "" : "."}`;

export const clamp = (value, low, high) => Math.min(high, Math.max(low, value));

// A name asked for in a box above the page; null where it was given up.
export function askName(title, given, label, confirm) {
  return new Promise((resolve) => {
    const id = newId("name");
    const field = make("input", { id, value: given, required: true, maxLength: 80, autocomplete: "off" });
    const box = make("dialog", { "aria-labelledby": `${id}-title` },
      make("form", { method: "dialog", on: { submit: () => { box.returnValue = field.value.trim(); } } },
        make("h2", { id: `${id}-title` }, title),
        make("label", { for: id }, label), field,
        make("div", { className: "buttons" },
          make("button", { className: "main" }, confirm),
          button("Cancel", () => { box.returnValue = ""; box.close(""); }))));
    box.addEventListener("close", () => { box.remove(); resolve(box.returnValue.trim() || null); });
    field.addEventListener("keydown", (event) => { if (event.key === "Escape") box.close(""); });
    document.body.append(box);
    box.showModal();
    field.select();
  });
}

export function askYes(title, words, confirm) {
  return new Promise((resolve) => {
    const id = newId("sure");
    const box = make("dialog", { "aria-labelledby": id },
      make("h2", { id }, title), make("p", {}, words),
      make("div", { className: "buttons" },
        button(confirm, () => box.close("yes"), { className: "main" }), button("Cancel", () => box.close(""))));
    box.addEventListener("close", () => { box.remove(); resolve(box.returnValue === "yes"); });
    document.body.append(box);
    box.showModal();
  });
}
