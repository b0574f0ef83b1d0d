// Walking and turning from a viewpoint: by keys on the picture, by dragging it, by buttons.
import { button, drawing, make } from "./elements.js";
import { ask, query } from "./server.js";
import { choose, makeQueue, scene } from "./scene.js";

const STEP = 0.25; // m
const NEAREST = 1.5; // m, of the point looked at
const TURN = 6; // degrees
const STEEPEST = 75; // degrees up or down
const PER_PIXEL = 0.12; // degrees that a drag by a pixel turns

export async function standing() {
  if (scene.stand !== null) return scene.stand;
  const answer = await ask(query("/api/eye", { revision: scene.state.revision, view: scene.view }));
  return answer.ok ? farther(answer.found) : null;
}

// The same view with the point looked at as far off as it takes to take hold of it on the plan.
function farther({ eye, look, fov }) {
  const off = look.map((each, axis) => each - eye[axis]), by = Math.max(1, NEAREST / (Math.hypot(off[0], off[1]) || 1));
  return { eye, look: eye.map((each, axis) => each + by * off[axis]), fov };
}

const radians = (degrees) => degrees * Math.PI / 180;

export function moved({ eye, look, fov }, ahead, aside) {
  const [x, y] = [look[0] - eye[0], look[1] - eye[1]], far = Math.hypot(x, y) || 1;
  const by = [(x * ahead + y * aside) / far, (y * ahead - x * aside) / far];
  return { eye: [eye[0] + by[0], eye[1] + by[1], eye[2]], look: [look[0] + by[0], look[1] + by[1], look[2]], fov };
}

export function turned({ eye, look, fov }, left, up) {
  const [x, y, z] = look.map((each, axis) => each - eye[axis]), flat = Math.hypot(x, y), far = Math.hypot(flat, z) || 1;
  const heading = Math.atan2(y, x) + radians(left);
  const steep = Math.max(-radians(STEEPEST), Math.min(radians(STEEPEST), Math.atan2(z, flat) + radians(up)));
  return { eye, look: [eye[0] + far * Math.cos(steep) * Math.cos(heading), eye[1] + far * Math.cos(steep) * Math.sin(heading), eye[2] + far * Math.sin(steep)], fov };
}

const MOVES = {
  ArrowUp: ["Forward", "M12 20V5M6 11l6-6 6 6", (stand) => moved(stand, STEP, 0)],
  ArrowDown: ["Back", "M12 4v15M6 13l6 6 6-6", (stand) => moved(stand, -STEP, 0)],
  ArrowLeft: ["Turn left", "M20 19a9 9 0 0 0-15-9M5 4v6h6", (stand) => turned(stand, TURN, 0)],
  ArrowRight: ["Turn right", "M4 19a9 9 0 0 1 15-9M19 4v6h-6", (stand) => turned(stand, -TURN, 0)],
  PageUp: ["Look up", "M4 20h16M6 14l6-6 6 6", (stand) => turned(stand, 0, TURN)],
  PageDown: ["Look down", "M4 4h16M6 10l6 6 6-6", (stand) => turned(stand, 0, -TURN)],
};

const icon = (path) => {
  const made = drawing(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 24 24"><path d="${path}"/></svg>`);
  made.setAttribute("aria-hidden", "true");
  return made;
};

const inTurn = makeQueue(); // of moves on the picture and on the plan

// Moves the eye, the point looked at, or both, from where the move before ended.
export const move = (act) => inTurn(async () => {
  const from = await standing();
  if (from !== null) choose({ stand: act(from), moving: true });
});

// Goes back to where one stood, after the moves that were begun.
export const goBack = (where) => inTurn(() => choose(where));

export function makeWalk(stage) {
  const element = make("div", { className: "walk", role: "group", "aria-label": "Walk and turn" });
  for (const [words, sign, act] of Object.values(MOVES)) {
    element.append(button(icon(sign), () => move(act), { "aria-label": words, title: words }));
  }

  stage.tabIndex = 0;
  stage.setAttribute("role", "group");
  stage.setAttribute("aria-label", "Picture. Arrow keys walk and turn, Page Up and Page Down look up and down.");
  stage.addEventListener("keydown", (event) => {
    const step = MOVES[event.key];
    if (event.target !== stage || !step || element.hidden || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    move(step[2]);
  });

  let drag = null;
  stage.addEventListener("pointerdown", (event) => {
    if (event.button !== 0 || element.hidden || event.target.matches("input")) return;
    drag = [event.clientX, event.clientY];
    stage.setPointerCapture(event.pointerId);
  });
  stage.addEventListener("pointermove", (event) => {
    if (drag === null) return;
    const [across, down] = [event.clientX - drag[0], event.clientY - drag[1]];
    if (Math.hypot(across, down) < 3) return;
    drag = [event.clientX, event.clientY];
    const rise = event.pointerType === "touch" ? 0 : down;
    move((stand) => turned(stand, across * PER_PIXEL, rise * PER_PIXEL));
  });
  for (const end of ["pointerup", "pointercancel"]) stage.addEventListener(end, () => { drag = null; });

  function follow() {
    const flat = scene.stand === null && scene.state.views.find((each) => each.name === scene.view)?.kind === "plan";
    element.hidden = flat;
    stage.classList.toggle("walkable", !flat);
  }

  return { element, follow };
}
