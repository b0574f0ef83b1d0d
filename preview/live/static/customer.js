// How the homeowner sees the room on a screen of their own: the address, and its code to point a phone at.
import { make } from "./elements.js";
import { scene } from "./scene.js";

export function makeCustomer() {
  const link = make("a", { target: "_blank", rel: "noopener" });
  const code = make("img", { className: "code", alt: "Code of the homeowner's address, to be read by a phone's camera", width: 240, height: 240 });
  const away = make("p", { className: "help" }, "The program answers on this machine only. To show the page on a tablet or a phone in the house, stop it and start it with --lan.");
  const element = make("section", { className: "part", hidden: true }, make("h2", {}, "For the homeowner"),
    make("p", {}, "A page with the pictures, the names and the choice between them. No prices, no warnings, and nothing can be saved there."),
    code, make("p", {}, link), away);

  function open() {
    const here = /\/\/(127\.|localhost)/.test(scene.state.customer);
    if (!here && !code.src) code.src = "/customer.svg"; // no phone reaches an address of this machine alone
    code.hidden = here;
    away.hidden = !here;
    link.href = link.textContent = scene.state.customer;
  }

  return { element, open };
}
