// The barest page: the picture, its numbers, and a field for each control.
const by = (id) => document.getElementById(id);
const client = crypto.randomUUID();
let state = null;

async function ask(path, body) {
  const options = body === undefined ? {} : {
    method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body),
  };
  const answer = await fetch(path, options);
  const found = await answer.json();
  by("words").textContent = found.words ?? "";
  return answer.ok ? found : null;
}

function options(select, names, chosen) {
  select.replaceChildren(...names.map((name) => new Option(name, name, false, name === chosen)));
}

function show(found) {
  if (found === null) return;
  state = found;
  const variant = by("variant").value;
  options(by("variant"), state.variants.map((each) => each.name), variant);
  options(by("view"), state.views.map((each) => each.name), by("view").value);
  by("title").textContent = `${state.title}${state.saved ? "" : " *"}`;
  by("undo").disabled = !state.undo;
  by("redo").disabled = !state.redo;
  draw();
}

function fields() {
  const variant = by("variant").value;
  const made = (state.controls ?? []).filter((each) => state.values[variant][each.key].shown).map((each) => {
    const label = document.createElement("label");
    label.textContent = `${each.label} `;
    const value = state.values[variant][each.key];
    const base = state.variants[0].name === variant;
    const send = (to) => ask("/api/change", {
      revision: state.revision, client, edits: [{ variant: base ? null : variant, key: each.key, value: to }],
    }).then(show);
    if (each.options.length) {
      const select = document.createElement("select");
      select.append(new Option(value.text, ""), ...each.options.map((one) => new Option(one.label, JSON.stringify(one.value))));
      select.addEventListener("change", () => send(JSON.parse(select.value)));
      label.append(select);
    } else {
      const input = document.createElement("input");
      input.value = value.text;
      input.addEventListener("change", () => send(input.value));
      label.append(input);
    }
    return label;
  });
  by("controls").replaceChildren(...made);
}

async function draw() {
  fields();
  const revision = state.revision;
  const query = new URLSearchParams({ revision, variant: by("variant").value, view: by("view").value });
  if (state.mode === "firm") {
    ask(`/api/numbers?${query}`).then((found) => {
      if (found === null || revision !== state.revision) return;
      const rows = [...found.rows.map((each) => `${each.label}: ${each.text}`), ...found.warnings, found.price ?? ""];
      by("numbers").replaceChildren(...rows.map((each) => Object.assign(document.createElement("li"), { textContent: each })));
      by("plan").innerHTML = found.plan;
    });
  }
  for (const [coarse, size] of [[1, "480x300"], [0, "1600x1000"]]) {
    const answer = await fetch(`/picture?${query}&size=${size}&coarse=${coarse}`);
    if (!answer.ok || revision !== state.revision) return;
    by("picture").src = URL.createObjectURL(await answer.blob());
  }
}

by("variant").addEventListener("change", draw);
by("view").addEventListener("change", draw);
for (const name of ["undo", "redo", "save"]) by(name).addEventListener("click", () => ask(`/api/${name}`, {}).then(show));

function listen() {
  const socket = new WebSocket(`ws://${location.host}/api/events`);
  socket.addEventListener("message", (message) => {
    const event = JSON.parse(message.data);
    if (event.kind === "state") { if (event.state.revision !== state.revision || event.state.saved !== state.saved) show(event.state); } else by("words").textContent = event.words;
  });
  socket.addEventListener("close", () => setTimeout(() => { listen(); ask("/api/state").then(show); }, 1000));
}

ask("/api/state").then(show).then(listen);
