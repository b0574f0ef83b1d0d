// The scene as the program last told it, what of it is looked at, and who is to be told of a change of either.
import { ask, change } from "./server.js";

export const scene = { state: null, variant: "", view: "", stand: null, moving: false, lines: false };

const watchers = [];
export const watch = (act) => watchers.push(act);
const tell = () => watchers.forEach((act) => act());

export const base = () => scene.state.variants.find((each) => each.base)?.name ?? scene.state.variants[0].name;
export const isBase = () => scene.variant === base();
export const value = (key) => scene.state.values?.[scene.variant]?.[key];

// Takes a newer state; an older one that comes late is left.
export function take(state) {
  if (scene.state !== null && state.told < scene.state.told) return;
  scene.state = state;
  scene.moving = false;
  if (!state.variants.some((each) => each.name === scene.variant)) scene.variant = base();
  if (scene.stand === null && !state.views.some((each) => each.name === scene.view)) scene.view = state.views[0]?.name ?? "";
  tell();
}

export function choose(chosen) {
  Object.assign(scene, { moving: false }, chosen);
  tell();
}

export const where = () => (scene.stand === null ? { view: scene.view } : {
  eye: scene.stand.eye.map((each) => each.toFixed(3)).join(","),
  look: scene.stand.look.map((each) => each.toFixed(3)).join(","),
  ...(scene.stand.fov ? { fov: scene.stand.fov } : {}),
});

export async function refresh() {
  const answer = await ask("/api/state");
  if (answer.ok) take(answer.found);
  return answer;
}

// What is given to one queue is done one after the other, each on what the one before it made.
export function makeQueue() {
  let last = Promise.resolve();
  return (act) => {
    const done = last.then(act);
    last = done.catch(() => {});
    return done;
  };
}

const inTurn = makeQueue(); // of changes

const taken = (answer) => {
  if (answer.ok && answer.found.revision !== undefined) take(answer.found);
  return answer;
};

export const send = (path, body = {}) => inTurn(async () => taken(await ask(path, body)));

export const edit = (...edits) => inTurn(async () => {
  const variant = isBase() ? null : scene.variant;
  const answer = taken(await change(scene.state.revision, edits.map((each) => ({ variant, ...each }))));
  if (answer.status === 409) await refresh();
  return answer;
});
