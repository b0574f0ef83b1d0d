// Looking round from where one stands, in place of the picture, until one goes back or anything changes.
import { button, make } from "./elements.js";
import { Round, TURNS, turnable } from "./round.js";
import { ask, query } from "./server.js";
import { scene, where } from "./scene.js";

export function makeAround({ say, stage, bar }) {
  const canvas = make("canvas", { tabIndex: 0, role: "img" });
  const words = make("p", { className: "drawing", role: "status" });
  const view = make("div", { className: "around", hidden: true }, canvas, words);
  const turns = make("div", { className: "walk", role: "group", "aria-label": "Turn" });
  const back = button("Back to the picture", () => close(true));
  const tools = make("div", { className: "bar around-tools", hidden: true }, back, turns);
  const start = button("Look round", open);
  const names = [""];
  let round = null, controller = null, shown = "";

  const now = () => JSON.stringify([scene.state.revision, scene.variant, where()]);

  function prepare() {
    round = new Round(canvas, [], names);
    if (!round.works) return false;
    turnable(round);
    for (const [label, sign, act] of TURNS(round)) turns.append(button(sign, act, { "aria-label": label, title: label }));
    new ResizeObserver(() => { if (shown && !view.hidden) round.draw(); }).observe(view);
    return true;
  }

  async function open() {
    if (round === null) prepare();
    if (!round.works) { say("This browser cannot show a room to look round in: it has no WebGL 2.", true); return; }
    const what = { revision: scene.state.revision, variant: scene.variant, ...where() }, { signal } = (controller = new AbortController());
    shown = now();
    canvas.hidden = true;
    place(true);
    back.focus();
    words.hidden = false;
    words.textContent = "Drawing the room all round";
    const urls = [];
    try {
      const answer = await ask(query("/api/round", what), undefined, signal);
      if (!answer.ok) throw new Error(answer.found.words);
      for (let face = 1; face <= answer.found.faces; face += 1) {
        words.textContent = `Drawing the room all round: ${face} of ${answer.found.faces}`;
        const drawn = await fetch(query(`/face/${face}`, what), { signal });
        if (!drawn.ok) throw new Error(drawn.status === 410 ? "" : (await drawn.json()).words);
        urls.push(URL.createObjectURL(await drawn.blob()));
      }
      const { bearing, pitch } = answer.found;
      names[0] = what.variant;
      Object.assign(round, { points: [{ bearing, pitch, faces: [urls] }], shown: [0, 0], field: 1.35 });
      canvas.hidden = false;
      canvas.setAttribute("aria-label", `${scene.state.title}: ${what.variant}, all round. Arrow keys turn, plus and minus go nearer and farther, Escape goes back.`);
      await round.stand(0);
      if (signal.aborted) return;
      words.hidden = true;
      view.dataset.revision = what.revision;
      canvas.focus();
    } catch (error) {
      if (signal.aborted) return;
      close(true);
      if (error.message) say(error instanceof TypeError ? "The program does not answer." : error.message, true);
    } finally {
      urls.forEach((each) => URL.revokeObjectURL(each));
    }
  }

  function place(open) {
    view.hidden = tools.hidden = !open;
    bar.hidden = open;
    for (const each of stage.children) if (each !== view) each.inert = open;
    stage.tabIndex = open ? -1 : 0;
  }

  function close(focus) {
    const held = view.contains(document.activeElement) || tools.contains(document.activeElement);
    controller?.abort();
    round.forget();
    shown = "";
    delete view.dataset.revision;
    place(false);
    if (focus || held) start.focus();
  }

  // Anything else that is to be seen takes it away: it is never older than the numbers beside it.
  function follow() {
    start.hidden = scene.stand === null && scene.state.views.find((each) => each.name === scene.view)?.kind === "plan";
    if (shown && shown !== now()) close(false);
  }

  for (const each of [view, tools]) {
    each.addEventListener("keydown", (event) => { if (event.key === "Escape") close(true); });
  }
  for (const name of ["pointerdown", "pointermove", "keydown"]) view.addEventListener(name, (event) => event.stopPropagation());

  stage.append(view);
  return { start, tools, follow };
}
