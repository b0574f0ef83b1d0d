// The floor: its picture, where one stands, what is chosen, and what that comes to.
import { button, make, newId } from "./elements.js";
import { ask, query } from "./server.js";
import { choose, scene, where } from "./scene.js";
import { makeAround } from "./around.js";
import { makeNumbers } from "./numbers.js";
import { makePlan } from "./plan.js";
import { makeSheet } from "./sheet.js";
import { makeStage } from "./stage.js";
import { makeVariants } from "./variants.js";
import { makeViews } from "./views.js";
import { makeWalk } from "./walk.js";

const SIZES = [[480, 300], [800, 500], [1200, 750], [1600, 1000]]; // full pictures; the smallest that fills its place
const FIRST = 38; // per cent at which the divider starts: beside the sight line, which is often in the middle
const NARROWEST = 2; // per cent of the picture that the divider leaves on either side

export function makeFloor({ say }) {
  const firm = scene.state.mode === "firm";
  const first = makeStage("first"), second = makeStage("second");
  const divider = make("input", { type: "range", className: "divider", min: 0, max: 100, step: 1, value: FIRST, "aria-label": "Divider between the two pictures", on: { input: divide } });
  const tags = ["left", "right"].map((side) => make("p", { className: `tag ${side}` }));
  const stage = make("div", { className: "stage" }, first.frame, second.frame, divider, ...tags);
  const walk = makeWalk(stage);
  const against = make("select", { id: newId("against"), on: { change: () => choose({ against: against.value }) } });
  const flip = button("Flip", () => { divider.value = Number(divider.value) > 50 ? 0 : 100; divide(); });
  const beside = make("div", { className: "beside" }, make("label", { for: against.id }, "Compare with"), against, flip);
  const lines = button("Lines", () => choose({ lines: !scene.lines }), { "aria-keyshortcuts": "L", title: "Key L on the picture" });
  const compare = make("div", { className: "compare" }, beside, lines);
  const legend = make("ul", { className: "legend", hidden: true });
  const news = make("p", { className: "unseen news", role: "status" });
  let explained = "";
  const note = make("p", { className: "wood-note" });
  const variants = makeVariants({ say });
  const views = makeViews();
  const plan = firm ? makePlan({ say }) : null;
  const sheet = firm ? makeSheet({ pickPoint: () => plan.pick() }) : null;
  const numbers = firm ? makeNumbers({
    failed: (found) => { const left = sheet.errors(found.errors); if (left.length) say(left.join(" "), true); },
    told: (found) => { plan.take(found, numbers.plan); sheet.use(found.used); announce(); },
  }) : null;
  const bar = make("div", { className: "bar" }, compare, walk.element);
  const around = makeAround({ say, stage, bar });
  compare.append(around.start);
  const picture = make("div", { className: "picture" }, stage, variants.element, bar, around.tools, legend, note, views.element, news);
  const under = firm ? make("div", { className: "under" }, make("section", { className: "plan-part" }, make("h2", {}, "Plan"), numbers.plan, plan.element), numbers.all) : null;
  const element = make("div", { className: firm ? "floor" : "floor customer" }, picture, under,
    firm ? make("div", { className: "side" }, numbers.figures, sheet.element) : null);

  function divide() {
    const at = Number(divider.value);
    stage.style.setProperty("--at", at === 0 || at === 100 ? `${at}%` : `calc(1.375rem + (100% - 2.75rem) * ${at / 100})`); // below the middle of its handle
    divider.setAttribute("aria-valuetext", `${at} per cent “${scene.variant}”, ${100 - at} per cent “${scene.against}”`);
    tags[0].hidden = at < NARROWEST * 5;
    tags[1].hidden = at > 100 - NARROWEST * 5;
  }

  // Who does not see the page is told once when picture and numbers are those of the last change.
  function announce() {
    const { revision, variant } = first.shown(), now = scene.state.revision;
    if (revision !== now || variant !== scene.variant || (firm && !numbers.are(now, scene.variant))) return;
    const said = `The picture shows “${variant}”${firm ? `: ${numbers.inWords()}` : ""}.`;
    if (news.textContent !== said) news.textContent = said;
  }

  // Tells what the lines in the pictures are.
  async function explain() {
    const asked = { revision: scene.state.revision, variant: scene.variant, against: scene.against }, now = JSON.stringify(asked);
    if (now === explained) return;
    explained = now;
    const answer = await ask(query("/api/lines", asked));
    if (!answer.ok) { if (now === explained) explained = ""; return; }
    if (now === explained) legend.replaceChildren(...answer.found.lines.map((each) => make("li", { className: each.kind }, each.words)));
  }

  function size() {
    const across = stage.clientWidth * (window.devicePixelRatio || 1);
    const found = SIZES.find(([width]) => width >= across) ?? SIZES.at(-1);
    return found.join("x");
  }

  function follow() {
    const { state } = scene, { title, revision } = state;
    variants.follow();
    const others = state.variants.map((each) => each.name).filter((each) => each !== scene.variant);
    if (!others.includes(scene.against)) scene.against = "";
    against.replaceChildren(new Option("nothing", ""), ...others.map((each) => new Option(each, each)));
    against.value = scene.against;
    beside.hidden = others.length === 0;
    const flat = scene.stand === null && state.views.find((each) => each.name === scene.view)?.kind === "plan";
    lines.hidden = flat;
    lines.setAttribute("aria-pressed", String(scene.lines));
    const lined = scene.lines && !flat;
    legend.hidden = !lined;
    if (lined) explain();
    const both = scene.against !== "";
    stage.classList.toggle("both", both);
    flip.hidden = divider.hidden = second.frame.hidden = !both;
    for (const each of tags) each.hidden = !both;
    tags[0].textContent = scene.variant;
    tags[1].textContent = scene.against;
    if (both) divide();
    const asked = (variant, seams = 0) => ({
      revision, variant, where: where(), size: size(), moving: scene.moving,
      ...(lined ? { lines: { lines: 1, seams, against: [scene.variant, scene.against].find((each) => each !== variant) ?? "" } } : {}),
      alt: `${title}: ${variant}, ${scene.stand === null ? scene.view : "from where you stand"}${lined ? ", with its lines" : ""}`,
    });
    first.show(asked(scene.variant));
    if (both) second.show(asked(scene.against, 1));
    note.textContent = state.wood_note;
    walk.follow();
    around.follow();
    views.follow(first.frame.dataset);
    if (firm) { sheet.follow(); numbers.follow(); plan.follow(); }
  }

  stage.addEventListener("keydown", (event) => {
    if (event.key.toLowerCase() === "l" && !event.ctrlKey && !event.metaKey && !event.altKey && !lines.hidden) lines.click();
  });
  first.frame.addEventListener("shown", (event) => { if (!event.detail.coarse) { announce(); views.renew(); } });
  let pause = null;
  new ResizeObserver(() => { clearTimeout(pause); pause = setTimeout(() => { if (stage.clientWidth && scene.state) follow(); }, 200); }).observe(stage);

  return { element, follow, again: () => { first.again(); second.again(); } };
}
