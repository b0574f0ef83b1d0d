// What lies on the plan to be dragged: where one stands and looks, and the point the floor is centred on.
import { button, clamp, make } from "./elements.js";
import { choose, edit, scene } from "./scene.js";
import { standing } from "./walk.js";

const STEP = 0.1; // m, an arrow key's
const HANDLES = { eye: "Where you stand", look: "Where you look" };

export function makePlan({ say }) {
  const words = make("p", { className: "help", role: "status" });
  const element = make("div", { className: "plan-tools" }, words);
  const layer = make("div", { className: "handles" });
  let frame = null, box = null, sheet = null, picking = false, known = "";
  const handles = Object.fromEntries(Object.entries(HANDLES).map(([name, label]) => [name, handle(name, label)]));
  layer.append(...Object.values(handles));

  const metres = (event) => {
    const place = layer.getBoundingClientRect();
    const u = box.x + (event.clientX - place.left) / place.width * box.width, v = box.y + (event.clientY - place.top) / place.height * box.height;
    return [(u - frame.x) * frame.metres, (frame.y - v) * frame.metres];
  };

  function put(name, [x, y]) {
    const u = (x / frame.metres + frame.x - box.x) / box.width, v = (frame.y - y / frame.metres - box.y) / box.height;
    handles[name].style.left = `${100 * clamp(u, 0, 1)}%`;
    handles[name].style.top = `${100 * clamp(v, 0, 1)}%`;
  }

  async function move(name, to) {
    const from = await standing();
    if (from === null) return;
    const stand = { ...from, [name]: [to(from[name])[0], to(from[name])[1], from[name][2]] };
    choose({ stand, moving: true });
  }

  function handle(name, label) {
    const keys = { ArrowLeft: [-STEP, 0], ArrowRight: [STEP, 0], ArrowUp: [0, STEP], ArrowDown: [0, -STEP] };
    let held = false;
    const made = button(make("span", {}, name === "eye" ? "Stand" : "Look"), () => {}, { className: `handle ${name}`, "aria-label": `${label}: arrow keys move it`, title: label });
    made.addEventListener("keydown", (event) => {
      const by = keys[event.key];
      if (!by) return;
      event.preventDefault();
      move(name, ([x, y]) => [x + by[0], y + by[1]]);
    });
    made.addEventListener("pointerdown", (event) => { held = true; made.setPointerCapture(event.pointerId); event.preventDefault(); made.focus(); });
    made.addEventListener("pointermove", (event) => { if (held) { const at = metres(event); move(name, () => at); } });
    for (const end of ["pointerup", "pointercancel"]) made.addEventListener(end, () => { held = false; });
    return made;
  }

  layer.addEventListener("click", async (event) => {
    if (!picking) return;
    pick(false);
    const answer = await edit({ key: "floor.center", value: { metres: metres(event) } });
    say(answer.ok ? "The floor is centred on that point." : answer.found.words, !answer.ok);
  });

  // The next press on the plan says where the floor is centred.
  function pick(on = true) {
    picking = on;
    words.textContent = on ? "Press the point on the plan that the floor is to be centred on." : "";
    layer.classList.toggle("picking", on);
    if (on) sheet?.scrollIntoView({ block: "center" });
  }

  function setFrame(found, plan) {
    frame = found;
    sheet = plan;
    box = plan.querySelector("svg").viewBox.baseVal;
    plan.append(layer);
    known = "";
    follow();
  }

  async function follow() {
    if (frame === null) return;
    const flat = scene.stand === null && scene.state.views.find((each) => each.name === scene.view)?.kind === "plan";
    for (const each of Object.values(handles)) each.hidden = flat;
    const now = JSON.stringify([scene.stand, scene.view, scene.state.revision]);
    if (flat || now === known) return;
    known = now;
    const stand = await standing();
    if (stand === null || now !== known) return;
    for (const name of Object.keys(handles)) put(name, stand[name]);
  }

  return { element, pick, frame: setFrame, follow };
}
