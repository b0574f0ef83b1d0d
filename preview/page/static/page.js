{
  const { points, names } = JSON.parse(document.getElementById("looks").textContent);
  const pair = document.querySelector(".pair");
  joinPair(pair);

  const section = document.getElementById("round");
  if (section) {
    const round = new Round(section.querySelector("canvas"), points, names);
    if (round.works) showRound(section, round);
  }

  function showRound(section, round) {
    const canvas = round.canvas, view = section.querySelector(".view"), places = section.querySelector(".places");
    const tags = ["first", "second"].map((side) => element("div", { className: `tag ${side}` }));
    const tools = element("div", { className: "tools" });

    function tell() {
      const two = round.shown[0] !== round.shown[1], where = points[round.point].name;
      const said = two ? `${names[round.shown[0]]} on the left, ${names[round.shown[1]]} on the right` : names[round.shown[0]];
      canvas.setAttribute("aria-label", `The finished floor all round, ${where}: ${said}`);
      tags.forEach((tag, n) => { tag.textContent = names[round.shown[n]]; tag.hidden = !two && n > 0 || names.length < 2; });
      places.querySelectorAll("button").forEach((each, n) => each.setAttribute("aria-pressed", String(n === round.point)));
    }

    points.forEach((point, n) => {
      const button = element("button", { type: "button", textContent: point.name[0].toUpperCase() + point.name.slice(1) });
      button.addEventListener("click", () => { round.stand(n); tell(); });
      places.append(button);
    });
    if (points.length < 2) places.hidden = true;

    for (const [label, sign, done] of TURNS(round)) {
      const button = element("button", { type: "button", textContent: sign });
      button.setAttribute("aria-label", label);
      button.addEventListener("click", done);
      tools.append(button);
    }
    if (names.length > 1) {
      const divider = element("input", { type: "range", min: 0, max: 100, value: 50 });
      divider.setAttribute("aria-label", "Divider between the two floors, looking round");
      divider.addEventListener("input", () => { round.split = divider.value / 100; round.draw(); });
      tools.append(element("label", { className: "wide" }, element("span", { textContent: "Divider" }), divider));
      if (names.length > 2) {
        for (const side of [0, 1]) {
          tools.append(chooser(side ? "On the right, looking round" : "On the left, looking round", names, round.shown[side],
            (n) => { round.shown[side] = n; tell(); round.follow(); }));
        }
      }
    }
    if (Turning.known) {
      const turning = new Turning(round);
      const button = element("button", { type: "button", textContent: "Turn with the telephone" });
      button.setAttribute("aria-pressed", "false");
      button.addEventListener("click", async () => {
        const on = button.getAttribute("aria-pressed") !== "true" && await turning.start();
        if (!on) turning.stop();
        button.setAttribute("aria-pressed", String(on));
      });
      tools.append(button);
    }
    view.append(...tags);
    view.after(tools);
    section.hidden = false;
    turnable(round);
    tell();
    round.stand(0);
    new ResizeObserver(() => round.draw()).observe(view);
  }
}
