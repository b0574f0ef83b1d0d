// The room as it was measured: typed in, drawn while one types, each slip told at its own field.
import { button, drawing, make } from "./elements.js";
import { makeFields } from "./fields.js";
import { ask } from "./server.js";
import { scene, send } from "./scene.js";

const USE = "Use this room";
const PAUSE = 350; // ms after the last key before what was typed is tried

// The columns of each list: key, words, and what it is picked from where it is picked.
const CELLS = {
  diagonals: [["from", "From corner"], ["to", "To corner"], ["length", "Length"]],
  openings: [["name", "Name"], ["kind", "Kind"], ["wall", "In wall"], ["from_end", "Taped from"], ["offset", "To its near side"], ["width", "Width"], ["height", "Height"], ["sill", "Sill above floor"], ["beyond", "Floor beyond"]],
  obstacles: [["name", "Name"], ["kind", "Kind"], ["height", "Height"], ["taped.wall", "At wall"], ["taped.from_end", "Taped from"], ["taped.offset", "To its near side"], ["taped.clear", "Clear of the wall"], ["taped.width", "Width along it"], ["taped.depth", "Depth"]],
  vents: [["name", "Name"], ["taped.wall", "At wall"], ["taped.from_end", "Taped from"], ["taped.offset", "To its middle"], ["taped.clear", "Its middle, off the wall"], ["taped.along", "Along the wall"], ["taped.across", "Across"]],
};
const TITLES = { diagonals: "Diagonals", openings: "Openings", obstacles: "What stands in the room", vents: "Vents" };
const ADD = { diagonals: "Add a diagonal", openings: "Add an opening", obstacles: "Add an obstacle", vents: "Add a vent" };
const NEW = {
  diagonals: { from: 1, to: 3, length: "" },
  openings: { name: "", kind: "door", wall: 1, offset: "", width: "", sill: "", height: "", beyond: "" },
  obstacles: { name: "", kind: "", height: "", corners: [], taped: { wall: 1, offset: "", width: "", depth: "", clear: "0" } },
  vents: { name: "", center: ["", ""], size: ["", ""], angle: "", taped: { wall: 1, offset: "", clear: "", along: "", across: "" } },
};

const read = (thing, key) => key.split(".").reduce((at, part) => at?.[part], thing);
function write(thing, key, value) {
  const parts = key.split("."), last = parts.pop();
  parts.reduce((at, part) => at[part], thing)[last] = value;
}

// What a measure is of a kind of thing where that is not plain, and what only some kinds have.
const OF_KIND = { hearth: { height: "Height of its stone" } };
const ONLY = { sill: ["window"], beyond: ["door", "cased opening"] };

export function makeRoom({ say }) {
  const form = make("div", { className: "part" });
  const words = make("p", { role: "status" });
  const rows = make("dl", { className: "rows" });
  const warnings = make("ul", {});
  const plan = make("div", { className: "plan" });
  const drawn = make("section", { className: "part drawn", "aria-label": "The room as typed" }, make("h2", {}, "As typed"), words, plan, rows, warnings);
  const element = make("div", { className: "room", hidden: true }, form, drawn);
  const fields = makeFields();
  const tapes = []; // where each thing was taped from: {input, thing, part}
  let given = null, pause = null, controller = null;
  const changed = new Set();

  const usual = () => given.usual ?? {};

  function touch(name) {
    changed.add(name);
    nameCorners();
    apply.disabled = drop.disabled = false;
    clearTimeout(pause);
    pause = setTimeout(attempt, PAUSE);
  }

  const sent = () => Object.fromEntries([...changed].map((name) => [name, given[name]]));

  async function attempt() {
    controller?.abort();
    controller = new AbortController();
    const since = Date.now();
    const answer = await ask("/api/room", { try: true, ...sent() }, controller.signal);
    if (answer.status === 410) return;
    show(answer.found, { since });
  }

  function show(found, { since = Date.now(), all = false } = {}) {
    fields.take(found.errors ?? [], since, (left, { told, typing, empty }) => {
      if (left.length) words.textContent = [...new Set(left)].join(" ");
      else if (told) words.textContent = "Not right yet: see what is said at its field.";
      else if (empty) words.textContent = "Some fields are still empty.";
      else if (typing) words.textContent = "Go on typing; this is how far it is drawn.";
      else words.textContent = found.words || "Everything fits together.";
      words.classList.toggle("error", told > 0);
    }, all);
    const pair = (each) => make("div", {}, make("dt", {}, each.label), make("dd", {}, each.text));
    rows.replaceChildren(...(found.rows ?? []).map(pair));
    warnings.replaceChildren(...(found.warnings ?? []).map((each) => make("li", {}, each)));
    if (found.plan) plan.replaceChildren(drawing(found.plan));
  }

  // The corners of a wall, named by the walls that meet there, as the papers name them.
  function cornersOf(wall) {
    const count = given.how === "walk" || given.corners.length === 0 ? given.walk.length : given.corners.length;
    const number = Number(wall);
    if (!(number >= 1 && number <= count)) return ["where it begins", "where it ends"];
    return [`corner ${number === 1 ? count : number - 1}/${number}`, `corner ${number}/${number === count ? 1 : number + 1}`];
  }

  function nameCorners() {
    for (const { input, thing, part } of tapes) {
      const [first, last] = cornersOf(read(thing, part.replace("from_end", "wall")));
      input.options[0].text = first;
      input.options[1].text = last;
    }
  }

  function outline() {
    const walk = given.how === "walk" || (given.new && given.corners.length === 0);
    const name = walk ? "walk" : "corners";
    if (walk) {
      return fields.cell("room.walk", "Walls, in turn", given.walk.join("\n"), (text) => { given.walk = text.split("\n").map((each) => each.trim()).filter(Boolean); touch("walk"); }, {
        lines: Math.max(4, given.walk.length + 1),
        help: `One a line, along the walls with the room on your left: ${given.units === "in" ? "E 14 ft 8 in, then N 17 ft 2 in" : "E 4470, then N 5230"}, and so on until you are back. The first is wall 1. Corner 1/2 is where wall 1 meets wall 2.`,
      });
    }
    return make("div", { className: "things" }, given.corners.map((corner, at) => make("div", { className: "thing" },
      fields.cell(`room.corners[${at + 1}]`, `Corner ${at + 1}, east`, corner[0], (value) => { corner[0] = value; touch(name); }),
      fields.cell(`room.corners[${at + 1}].north`, `Corner ${at + 1}, north`, corner[1], (value) => { corner[1] = value; touch(name); }),
      button("Remove", () => { given.corners.splice(at, 1); touch(name); build(); }, { className: "quiet", "aria-label": `Remove corner ${at + 1}` }))),
      button("Add a corner", () => { given.corners.push(["", ""]); touch(name); build(); }));
  }

  const taken = (part, value) => part === "from_end" ? value === "true" : ["wall", "from", "to"].includes(part) && /^\d+$/.test(value) ? Number(value) : value;

  function list(name) {
    const things = given[name].map((thing, at) => {
      const key = `${name === "diagonals" ? "room.diagonals" : name}[${at + 1}]`;
      const error = make("p", { className: "error", hidden: true });
      const called = thing.name || `${at + 1}`;
      const parts = CELLS[name].filter(([part]) => thing.taped !== null || !part.startsWith("taped."));
      const plainly = (part) => part.replace("taped.", "");
      const element = make("div", { className: "thing", role: "group", "aria-label": `${TITLES[name]}, ${called}` },
        parts.map(([part, label]) => fields.cell(`${key}.${plainly(part)}`, label, read(thing, part), (value) => {
          write(thing, part, taken(plainly(part), value));
          if (part === "kind") ofKind();
          touch(name);
        }, { choices: part === "kind" ? given.kinds[name] : part.endsWith("from_end") ? [false, true] : undefined })),
        make("div", { className: "cell last" }, button("Remove", () => { given[name].splice(at, 1); touch(name); build(); }, { className: "quiet", "aria-label": `Remove ${called}` })), error);
      fields.add(key, { input: element, error });
      // What of its measures is asked for, and what each usually is, goes by the kind of thing.
      function ofKind() {
        for (const [part, label] of parts) {
          const { input } = fields.at(`${key}.${plainly(part)}`), usually = usual()[thing.kind]?.[part];
          if (ONLY[part]) input.parentElement.hidden = !ONLY[part].includes(thing.kind) && !read(thing, part);
          if (part === "height") input.previousElementSibling.textContent = OF_KIND[thing.kind]?.height ?? label;
          if (usually) input.placeholder = `usually ${usually}`;
        }
      }
      if (thing.kind) ofKind();
      const part = parts.map(([each]) => each).find((each) => each.endsWith("from_end"));
      if (part) tapes.push({ input: fields.at(`${key}.from_end`).input, thing, part });
      return element;
    });
    const add = button(ADD[name], () => {
      const thing = structuredClone(NEW[name]);
      if (name === "obstacles") thing.kind = given.kinds.obstacles[0];
      given[name].push(thing);
      touch(name);
      build();
    });
    return make("section", { className: "things" }, make("h3", {}, TITLES[name]), things, make("div", {}, add));
  }

  const apply = button(USE, () => applied(), { className: "main" });
  const drop = button("Drop what was typed", () => fetchRoom());

  function build() {
    fields.clear();
    tapes.length = 0;
    const one = (name, label) => fields.cell(`room.${name}`, label, given[name], (value) => { given[name] = value; touch(name); }, { hint: usual()[name] ? `usually ${usual()[name]}` : "" });
    const units = given.new ? fields.cell("units", "Measured in", given.units, measuredIn, { choices: ["in", "ft", "mm", "cm", "m"] }) : null;
    form.replaceChildren(make("h2", {}, "The room as measured"),
      make("div", { className: "thing" }, fields.cell("title", "Name of the room", given.title, (value) => { given.title = value; touch("title"); }, { wide: true }), units),
      outline(),
      make("div", { className: "thing" }, one("height", "Height of the room"), one("baseboard", "Baseboard"), one("wall_thickness", "Thickness of walls")),
      fields.cell("compass", "Compass along wall 1, degrees", given.compass, (value) => { given.compass = value; touch("compass"); }, {
        help: "Only for sunshine in the pictures, and for a north arrow on the plans: stand where wall 1 begins, look along it, and read a compass (letters such as NW do too). Leave it empty if the sky is overcast.",
      }),
      ...Object.keys(CELLS).map(list),
      make("div", { className: "buttons" }, apply, drop));
    nameCorners();
  }

  // Other units are the program's to write; what was typed so far stays.
  async function measuredIn(to) {
    const typed = sent();
    form.inert = true;
    changed.clear();
    const answer = await send("/api/room", { units: to });
    if (!answer.ok) say(answer.found.words, true);
    await fetchRoom();
    form.inert = false;
    Object.assign(given, typed);
    build();
    Object.keys(typed).forEach(touch);
  }

  // What was taped from the far corner is told so again, as it was typed, while the file says what came of it.
  const far = new Map(); // by list and name: {typed, told}
  const tapeOf = (thing) => (thing.taped ?? thing);
  function noteFar() {
    for (const name of ["openings", "obstacles", "vents"]) for (const thing of given[name]) {
      const key = `${name} ${thing.name}`;
      if (tapeOf(thing).from_end) far.set(key, { typed: tapeOf(thing).offset, wall: tapeOf(thing).wall, told: null }); else far.delete(key);
    }
  }
  function recallFar() {
    for (const name of ["openings", "obstacles", "vents"]) for (const thing of given[name]) {
      const tape = tapeOf(thing), noted = far.get(`${name} ${thing.name}`);
      if (!noted || noted.wall !== tape.wall) continue;
      noted.told ??= tape.offset;
      if (noted.told === tape.offset) Object.assign(tape, { offset: noted.typed, from_end: true }); else far.delete(`${name} ${thing.name}`);
    }
  }

  async function applied() {
    clearTimeout(pause);
    noteFar();
    apply.disabled = drop.disabled = true;
    apply.textContent = "Laying the floor in it";
    form.setAttribute("aria-busy", "true");
    const answer = await send("/api/room", sent());
    apply.textContent = USE;
    form.removeAttribute("aria-busy");
    apply.disabled = drop.disabled = changed.size === 0;
    if (!answer.ok) { show(answer.found, { all: true }); say(answer.found.words || "Some fields need another look.", true); return; }
    changed.clear();
    apply.disabled = drop.disabled = true;
    say("The room is as you typed it. Undo takes it back.");
    await fetchRoom();
  }

  async function fetchRoom({ over = true } = {}) {
    const answer = await ask("/api/room");
    if (!over && changed.size > 0) return; // something was typed meanwhile
    if (!answer.ok) { say(answer.found.words, true); return; }
    given = answer.found;
    recallFar();
    changed.clear();
    apply.disabled = drop.disabled = true;
    build();
    show(given);
  }

  const open = () => { if (form.inert) return; if (given === null || (changed.size === 0 && given.revision !== scene.state.revision)) fetchRoom({ over: false }); };
  const follow = () => { if (!element.hidden) open(); };
  return { element, open, follow };
}
