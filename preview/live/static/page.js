// The page: its parts, and what is told above them all.
import { button, make } from "./elements.js";
import { listen } from "./server.js";
import { makeCustomer } from "./customer.js";
import { makeFloor } from "./floor.js";
import { makeLayouts } from "./layouts.js";
import { makePapers } from "./papers.js";
import { makeRoom } from "./room.js";
import { refresh, scene, send, take, watch } from "./scene.js";

const SHOWN = 8000; // ms that a word of what was done stays

const by = (id) => document.getElementById(id);
const parts = new Map(); // by name, as addresses have it: {label, made}
const lost = make("div", { className: "notice", hidden: true }, make("p", {}, "The program is not running, or out of reach. The page goes on by itself as soon as it is back; nothing is lost."));
const offer = make("div", { className: "notice", hidden: true });
const elsewhere = make("div", { className: "notice", hidden: true }, make("p", {}), make("div", { className: "buttons" },
  button("Take the file as it is now", async () => told(await send("/api/reload"), "The file is read again.")),
  button("Save over it", () => save(true))));

let fade = null;

function say(text, wrong = false) {
  by("words").textContent = text;
  clearTimeout(fade);
  fade = setTimeout(() => say(""), wrong ? 3 * SHOWN : SHOWN);
  by("words").classList.toggle("error", wrong);
}

const told = (answer, words) => say(answer.ok ? words : answer.found.words, !answer.ok);

async function save(over = false) {
  told(await send("/api/save", over ? { over } : {}), `Saved in ${scene.state.file}.`);
}

// What is told of the file stands for as long as the state has it, whichever page ends it.
function tellElsewhere() {
  const words = scene.state.file_changed ?? "";
  elsewhere.hidden = !words;
  if (elsewhere.firstChild.textContent !== words) elsewhere.firstChild.textContent = words;
}

function tellOffer() {
  const { offer: found } = scene.state;
  offer.hidden = !found;
  if (!found || offer.dataset.words === found.words) return;
  offer.dataset.words = found.words;
  offer.replaceChildren(make("p", {}, found.words), make("div", { className: "buttons" },
    button("Take them", async () => told(await send("/api/offer", { do: "take" }), "What was not saved is here again.")),
    button("Drop them", async () => told(await send("/api/offer", { do: "drop" }), "It is as the file has it."))));
}

const tools = {
  undo: button("Undo", async () => { const words = scene.state.undo_words; told(await send("/api/undo"), words ? `Undone: ${words}` : "Undone."); }),
  redo: button("Redo", async () => { const words = scene.state.redo_words; told(await send("/api/redo"), words ? `Done again: ${words}` : "Done again."); }),
  save: button("Save", () => save(), { className: "main" }),
};

function followHead() {
  const { state } = scene;
  by("title").textContent = state.title;
  document.title = state.title;
  if (state.mode !== "firm") return;
  by("kept").textContent = state.saved ? `Saved in ${state.file}` : `Not saved in ${state.file} yet`;
  by("kept").classList.toggle("unsaved", !state.saved);
  tools.undo.disabled = !state.undo;
  tools.redo.disabled = !state.redo;
  tools.undo.title = state.undo_words ? `Undo: ${state.undo_words}` : "";
  tools.redo.title = state.redo_words ? `Redo: ${state.redo_words}` : "";
  tellOffer();
  tellElsewhere();
}

const now = () => (parts.has(location.hash.slice(1)) ? location.hash.slice(1) : scene.state.new ? "room" : "floor");

function open() {
  for (const [name, part] of parts) {
    part.made.element.hidden = name !== now();
    if (name === now()) part.link?.setAttribute("aria-current", "page"); else part.link?.removeAttribute("aria-current");
  }
  parts.get(now()).made.open?.();
}

function add(name, label, made) {
  const link = make("a", { href: `#${name}` }, label);
  parts.set(name, { made, link });
  by("main").append(made.element);
  if (scene.state.mode === "firm") by("parts").append(link);
}

function keys(event) {
  const letter = event.key.toLowerCase();
  if (!(event.ctrlKey || event.metaKey) || event.altKey || !"zys".includes(letter)) return;
  if (letter !== "s" && event.target.matches("input, textarea, select")) return;
  event.preventDefault();
  (letter === "s" ? tools.save : letter === "y" || event.shiftKey ? tools.redo : tools.undo).click();
}

// A word of what was done stands in the head, where it covers nothing, and over the page while the head is out of sight.
new IntersectionObserver(([head]) => document.body.classList.toggle("away", !head.isIntersecting)).observe(by("head"));

async function start() {
  const answer = await refresh();
  if (!answer.ok) { say(answer.found.words, true); setTimeout(start, 1000); return; }
  by("notices").append(lost, offer, elsewhere);
  const floor = makeFloor({ say });
  add("floor", "Floor", floor);
  if (scene.state.mode === "firm") {
    add("layouts", "Layouts", makeLayouts({ say }));
    add("room", "Room", makeRoom({ say }));
    add("papers", "Papers", makePapers());
    add("customer", "Homeowner", makeCustomer());
    by("tools").append(...Object.values(tools));
    document.addEventListener("keydown", keys);
  }
  watch(followHead);
  for (const part of parts.values()) if (part.made.follow) watch(part.made.follow);
  if (now() === "room") location.hash = "room"; // a new room begins with its measures
  window.addEventListener("hashchange", () => { if (by("words").classList.contains("error")) say(""); open(); });
  open();
  followHead();
  floor.follow();
  listen({
    event: (told) => {
      if (told.kind === "state") take(told.state);
      else if (told.kind === "drawing-failed") say(told.words, true);
      for (const part of parts.values()) part.made.hear?.(told);
    },
    lost: () => { lost.hidden = false; },
    back: async () => {
      const away = !lost.hidden;
      if (away) {
        lost.hidden = true;
        Object.assign(scene.state, { revision: -1, told: -1 }); // the program began anew, and counts anew
        floor.again();
      }
      await refresh(); // what changed while nobody listened
      if (away && scene.state.restarted) say(scene.state.restarted, true);
    },
  });
}

start();
