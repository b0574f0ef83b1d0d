// Two pictures of one camera in one place, with a divider. Without this script they stand beside each other.

function element(name, properties = {}, ...children) {
  const made = Object.assign(document.createElement(name), properties);
  made.append(...children);
  return made;
}

// Return a list of names to choose from, or nothing where there are only as many as are shown.
function chooser(label, names, chosen, follow) {
  const made = element("select", {}, ...names.map((name, n) => element("option", { value: n, textContent: name })));
  made.value = chosen;
  made.setAttribute("aria-label", label);
  made.addEventListener("change", () => follow(Number(made.value)));
  return made;
}

function joinPair(pair) {
  const stills = [...pair.querySelectorAll(".still")];
  const names = stills.map((each) => each.dataset.name);
  const withLines = stills.some((each) => each.querySelector(".lines"));
  const legend = document.querySelector(".legend");
  const tools = element("div", { className: "tools" });
  const under = element("div", { className: "under" }), over = element("div", { className: "over" });
  const stage = element("div", { className: "stage" }, under);
  const captions = element("div", { className: "captions" });
  let shown = [0, 1], lined = false;

  function fill(place, number) {
    const frame = stills[number].querySelector(".frame").cloneNode(true);
    const lines = frame.querySelector(".lines");
    if (lines) lines.hidden = !lined;
    place.replaceChildren(frame);
  }

  function follow() {
    const two = stills.length > 1;
    fill(under, shown[0]);
    if (two) fill(over, shown[1]);
    captions.replaceChildren(...(two ? shown : [0]).map((n) => {
      const words = element("div");
      words.append(...[...stills[n].querySelector("figcaption").childNodes].map((each) => each.cloneNode(true)));
      return element("figcaption", {}, words);
    }));
    if (legend) legend.hidden = !lined;
  }

  if (stills.length > 1) {
    const divider = element("input", { type: "range", className: "divider", min: 0, max: 100, value: 38, step: 1 }); // beside the sight line, which is often in the middle
    divider.setAttribute("aria-label", "Divider between the two pictures");
    const told = () => {
      stage.style.setProperty("--at", `${divider.value}%`);
      divider.setAttribute("aria-valuetext", `${divider.value} per cent ${names[shown[0]]}, the rest ${names[shown[1]]}`);
    };
    divider.addEventListener("input", () => { both(); told(); });
    stage.append(over, element("div", { className: "rule" }), divider);
    const flip = element("button", { type: "button" });
    const both = () => { stage.classList.remove("one", "two"); flip.textContent = "Flip"; };
    flip.addEventListener("click", () => {
      const second = !stage.classList.contains("two");
      stage.classList.toggle("two", second);
      stage.classList.toggle("one", !second);
      flip.textContent = `Flip: ${names[shown[second ? 1 : 0]]}`;
    });
    both();
    if (stills.length > 2) {
      for (const side of [0, 1]) {
        tools.append(chooser(side ? "On the right" : "On the left", names, shown[side], (n) => {
          shown[side] = n;
          follow();
          told();
        }));
      }
    }
    tools.append(flip);
    told();
  }
  if (withLines) {
    const lines = element("button", { type: "button", textContent: "Lines on the floor" });
    lines.setAttribute("aria-pressed", "false");
    lines.addEventListener("click", () => {
      lined = !lined;
      lines.setAttribute("aria-pressed", String(lined));
      follow();
    });
    tools.append(lines);
  }
  for (const each of stills) each.hidden = true;
  pair.classList.add("joined");
  pair.prepend(stage, captions, tools);
  follow();
}
