// What the page asks of the program, and what the program tells it.
const client = Array.from(crypto.getRandomValues(new Uint8Array(12)), (each) => each.toString(16)).join("");

// The answer of an address: {ok, status, found}. An error has words and errors in `found`, one that got no answer too.
export async function ask(path, body, signal) {
  const options = { signal };
  if (body !== undefined) {
    Object.assign(options, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body) });
  }
  try {
    const answer = await fetch(path, options);
    return { ok: answer.ok, status: answer.status, found: await answer.json() };
  } catch (error) {
    if (error.name === "AbortError") return { ok: false, status: 410, found: { words: "", errors: [] } };
    const words = "The program does not answer. What you see may be old.";
    return { ok: false, status: 0, found: { words, errors: [] } };
  }
}

export const query = (path, values) => `${path}?${new URLSearchParams(values)}`;

export const change = (revision, edits) => ask("/api/change", { revision, client, edits });

// Listens for events for as long as the page is open; `lost` and `back` tell of the connection.
export function listen({ event, lost, back }) {
  let pause = 500;
  const open = () => {
    const socket = new WebSocket(`${location.protocol === "https:" ? "wss" : "ws"}://${location.host}/api/events`);
    socket.addEventListener("open", () => { pause = 500; back(); });
    socket.addEventListener("message", (message) => event(JSON.parse(message.data)));
    socket.addEventListener("close", () => {
      lost();
      setTimeout(open, pause);
      pause = Math.min(4000, pause * 1.5);
    });
  };
  open();
}
