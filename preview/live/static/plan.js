// What lies on the plan to be dragged: the point the floor is centred on, where one stands, and where one looks.
import { button, clamp, drawing, make } from "./elements.js";
import { edit, scene, value } from "./scene.js";
import { goBack, move, standing } from "./walk.js";

const HANDLES = { centre: ["Centre", "The point the floor is centred on"], eye: ["Stand", "Where you stand"], look: ["Look", "Where you look"] };
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] };
const WALK = 0.1; // m, an arrow key's for the eye
const FARTHER = 10; // times as far with Shift
const PAUSE = 600; // ms after the last arrow key before the centre is sent

const step = (name) => (name !== "centre" ? WALK : ["in", "ft"].includes(scene.state.units) ? 0.00635 : 0.005); // m: 1/4 in, 5 mm

export function makePlan({ say }) {
  const words = make("p", { className: "help", role: "status" });
  const press = button("Press a new centre on the plan", () => pick(!picking), { "aria-pressed": "false" });
  const element = make("div", { className: "plan-tools" },
    make("p", { className: "help" }, "Drag Centre to move the floor’s middle line. Drag Stand and Look to see the room from elsewhere. Arrow keys move them too; Escape puts one back."),
    press, words);
  const layer = make("div", { className: "handles" });
  const centre = { used: null, at: null, line: null, unsent: null, sent: false };
  let frame = null, box = null, sheet = null, picking = false, known = "", held = null;
  const handles = Object.fromEntries(Object.keys(HANDLES).map((name) => [name, handle(name)]));
  layer.append(...Object.values(handles));

  const onPlan = ([x, y]) => [x / frame.metres + frame.x, frame.y - y / frame.metres];

  function metres(event) {
    const place = layer.getBoundingClientRect();
    const across = clamp((event.clientX - place.left) / place.width, 0, 1), down = clamp((event.clientY - place.top) / place.height, 0, 1);
    return [(box.x + across * box.width - frame.x) * frame.metres, (frame.y - box.y - down * box.height) * frame.metres];
  }

  function put(name, at) {
    const [u, v] = onPlan(at);
    handles[name].hidden = false;
    handles[name].style.left = `${100 * clamp((u - box.x) / box.width, 0, 1)}%`;
    handles[name].style.top = `${100 * clamp((v - box.y) / box.height, 0, 1)}%`;
  }

  // The centre follows the hand; the line through it shows where the floor's middle would be.
  function shift(at) {
    centre.at = at;
    put("centre", at);
    layer.querySelector(".centre-line")?.remove();
    const [from, to] = centre.line, far = Math.hypot(to[0] - from[0], to[1] - from[1]) || 1;
    const right = [(to[1] - from[1]) / far, (from[0] - to[0]) / far];
    const by = (at[0] - centre.used[0]) * right[0] + (at[1] - centre.used[1]) * right[1];
    if (Math.abs(by) < 1e-4) return;
    const [[a, b], [c, d]] = centre.line.map((end) => onPlan([end[0] + by * right[0], end[1] + by * right[1]]));
    const line = drawing(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="${box.x} ${box.y} ${box.width} ${box.height}"><path d="M${a} ${b}L${c} ${d}"/></svg>`);
    line.classList.add("centre-line");
    line.setAttribute("aria-hidden", "true");
    layer.prepend(line);
  }

  function leave() {
    clearTimeout(centre.unsent);
    centre.unsent = null;
    shift(centre.used);
  }

  async function sendCentre(at = centre.at) {
    clearTimeout(centre.unsent);
    centre.unsent = null;
    centre.sent = true;
    const answer = await edit({ key: "floor.center", value: { metres: at } });
    centre.sent = false;
    if (!answer.ok) leave();
    say(answer.ok ? `The floor is centred on ${value("floor.center").text}.` : answer.found.words, !answer.ok);
  }

  const moveEnd = (name, to) => move((from) => ({ ...from, [name]: [...to(from[name]), from[name][2]] }));

  // What a hand does that has taken hold of a handle.
  function grip(name) {
    if (name === "centre") return { to: shift, drop: () => sendCentre(), giveUp: leave };
    const { stand, view } = scene;
    return { to: (at) => moveEnd(name, () => at), drop: () => {}, giveUp: () => goBack({ stand, view }) };
  }

  function handle(name) {
    const [short, label] = HANDLES[name];
    const made = button(make("span", {}, short), () => {}, { className: `handle ${name}`, "aria-label": `${label}: drag it, or move it by arrow keys`, title: label, hidden: true }); // until its place is known
    made.addEventListener("keydown", (event) => {
      if (event.key === "Escape" && (held || centre.unsent)) {
        (held?.grip ?? grip("centre")).giveUp();
        held = null;
        say("It is back where it was.");
      }
      const by = ARROWS[event.key]?.map((each) => each * step(name) * (event.shiftKey ? FARTHER : 1));
      if (!by) return;
      event.preventDefault();
      if (name !== "centre") { moveEnd(name, ([x, y]) => [x + by[0], y + by[1]]); return; }
      shift([centre.at[0] + by[0], centre.at[1] + by[1]]);
      clearTimeout(centre.unsent);
      centre.unsent = setTimeout(sendCentre, PAUSE);
    });
    made.addEventListener("blur", () => { if (name === "centre" && centre.unsent) sendCentre(); });
    made.addEventListener("pointerdown", (event) => {
      if (event.button !== 0) return;
      held = { grip: grip(name), moved: false };
      made.setPointerCapture(event.pointerId);
      event.preventDefault();
      made.focus({ preventScroll: true });
    });
    made.addEventListener("pointermove", (event) => { if (held) { held.moved = true; held.grip.to(metres(event)); } });
    made.addEventListener("pointerup", (event) => {
      if (held?.moved) { held.grip.to(metres(event)); held.grip.drop(); }
      held = null;
    });
    made.addEventListener("pointercancel", () => { held?.grip.giveUp(); held = null; });
    return made;
  }

  layer.addEventListener("click", (event) => {
    if (!picking) return;
    pick(false);
    sendCentre(metres(event));
  });

  // The next press on the plan says where the floor is centred: the way for who can't drag.
  function pick(on = true) {
    picking = on;
    press.setAttribute("aria-pressed", String(on));
    words.textContent = on ? "Press the point on the plan that the floor is to be centred on." : "";
    layer.classList.toggle("picking", on);
    if (on) sheet?.scrollIntoView({ block: "center" });
  }

  function take(found, plan) {
    frame = found.plan_frame;
    sheet = plan;
    box = plan.querySelector("svg").viewBox.baseVal;
    if (layer.parentElement !== plan) plan.append(layer);
    centre.used = found.center;
    centre.line = found.center_line;
    if (!held && !centre.unsent && !centre.sent) shift(centre.used);
    known = "";
    follow();
  }

  async function follow() {
    if (frame === null) return;
    const flat = scene.stand === null && scene.state.views.find((each) => each.name === scene.view)?.kind === "plan";
    if (flat) {
      handles.eye.hidden = handles.look.hidden = true;
      known = "";
      return;
    }
    const now = JSON.stringify([scene.stand, scene.view, scene.state.revision]);
    if (now === known) return;
    known = now;
    const stand = await standing();
    if (stand === null || now !== known) return;
    for (const name of ["eye", "look"]) put(name, stand[name]);
  }

  return { element, pick, take, follow };
}
