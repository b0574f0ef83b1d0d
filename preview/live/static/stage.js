// A picture that follows what is asked of it: coarse at first, then full; an old one is dimmed and said to be old.
import { make } from "./elements.js";
import { query } from "./server.js";

const COARSE = "480x300";
const SETTLED = 250; // ms that one must stand still before the full picture is asked for
const LIGHT = 2000; // ms after which the wait is explained

export function makeStage(className = "") {
  const image = make("img", { alt: "", draggable: false });
  const words = make("p", { className: "drawing" });
  const frame = make("div", { className: `frame ${className}`, data: { quality: "none" } }, image, words);
  let wanted = "", controller = null, moving = null, full = null, late = null, revision = 0;

  function say(text, role = "none") {
    words.setAttribute("role", role);
    if (words.textContent !== text) words.textContent = text;
    words.hidden = text === "";
  }

  function ask(what, coarse, signal) {
    const size = coarse ? COARSE : what.size;
    const { revision, variant, where } = what;
    return fetch(query("/picture", { revision, variant, ...where, ...what.lines, size, coarse: coarse ? 1 : 0 }), { signal });
  }

  async function get(what, coarse, signal, asked = ask(what, coarse, signal)) {
    const answer = await asked;
    if (answer.status === 410) return false; // something newer is on its way
    if (!answer.ok) throw new Error((await answer.json()).words);
    const blob = await answer.blob();
    if (signal.aborted || keyOf(what) !== wanted && !what.moving) return false;
    await put(blob, what, coarse);
    return true;
  }

  // The full picture is asked for with the coarse one, which is drawn first: none waits for the other's way here.
  async function getBoth(what, signal) {
    const coarse = ask(what, true, signal), full = ask(what, false, signal);
    full.catch(() => {}); // it is looked at below, if the coarse one came
    if (await get(what, true, signal, coarse)) await get(what, false, signal, full);
  }

  async function put(blob, what, coarse) {
    const address = URL.createObjectURL(blob);
    const before = image.src;
    image.src = address;
    await image.decode().catch(() => {});
    if (before.startsWith("blob:")) URL.revokeObjectURL(before);
    image.alt = what.alt;
    Object.assign(frame.dataset, {
      quality: coarse ? "coarse" : "full", revision: what.revision, variant: what.variant, view: what.where.view ?? "",
    });
    frame.classList.remove("old");
    say(coarse ? "Sharpening" : "");
    clearTimeout(late);
    frame.dispatchEvent(new CustomEvent("shown", { detail: { coarse } }));
  }

  const keyOf = (what) => JSON.stringify([what.revision, what.variant, what.where, what.size, what.lines]);

  function fail(error) {
    if (error.name === "AbortError") return;
    clearTimeout(late);
    wanted = ""; // it is asked for again as soon as anything is
    say(error instanceof TypeError ? "No picture: the program does not answer." : error.message, "alert");
    frame.classList.add("old");
  }

  function waits() {
    clearTimeout(late);
    late = setTimeout(() => say("Working out the light of this room, once. The picture follows."), LIGHT);
  }

  // While one walks: each coarse picture is waited for, then the newest place is drawn; the full one when one stands.
  async function walk(what) {
    moving = what;
    if (controller?.walking) return;
    controller?.abort();
    const own = (controller = new AbortController());
    own.walking = true;
    try {
      while (moving !== null && own === controller) {
        const next = moving;
        moving = null;
        await get(next, true, own.signal);
      }
    } catch (error) { fail(error); }
    if (own !== controller) return;
    own.walking = false;
    clearTimeout(full);
    full = setTimeout(() => { if (own === controller) get({ ...what, ...latest }, false, own.signal).catch(fail); }, SETTLED);
  }

  let latest = {};

  async function show(what) {
    const key = keyOf(what);
    if (key === wanted) { image.alt = what.alt; return; }
    wanted = key;
    latest = what;
    if (what.moving) { frame.classList.remove("old"); walk(what); return; }
    clearTimeout(full);
    controller?.abort();
    const own = (controller = new AbortController());
    moving = null;
    const same = revision === what.revision;
    revision = what.revision;
    frame.classList.toggle("old", frame.dataset.quality !== "none");
    say(frame.dataset.quality === "none" ? "The picture is being drawn"
      : same ? "Another picture is being drawn" : "Before this change; the new picture is being drawn");
    waits();
    try {
      await getBoth(what, own.signal);
    } catch (error) { fail(error); }
  }

  // Draw again what is wanted, such as after the program was away.
  const again = () => { wanted = ""; };

  // Of what the full picture is that is shown.
  const shown = () => (frame.dataset.quality === "full" ? { revision: Number(frame.dataset.revision), variant: frame.dataset.variant } : {});

  return { frame, image, show, again, shown };
}
