// What is asked of the program. All addresses are below the page's own, which holds the token.

/** An answer that is none: `status` as in HTTP, and what to tell the player. */
export class Refused extends Error {
  constructor(status, message) {
    super(message);
    this.status = status;
  }
}

/** The file has changed since this page was told of it; it will be told again. */
export const CHANGED = 409;
export const GONE = 404;

async function answered(address, options) {
  let response;
  try {
    response = await fetch(address, options);
  } catch (error) {
    if (error.name === "AbortError") throw error;
    throw new Refused(0, "the program does not answer");
  }
  if (!response.ok) throw new Refused(response.status, (await response.text()).trim());
  return response;
}

/** What the program answers when asked for `what`, a name with values. */
export function ask(what, values = {}, signal = undefined) {
  const query = new URLSearchParams(Object.entries(values).filter(([, value]) => value !== undefined));
  return answered(`${what}?${query}`, { signal });
}

/** The same, for an answer in JSON. */
export async function askFor(what, values, signal) {
  return (await ask(what, values, signal)).json();
}

/** Has the program do `what`. */
export async function tell(what, body) {
  const headers = { "content-type": "application/json" };
  await answered(what, { method: "POST", headers, body: JSON.stringify(body) });
}

/**
 * Calls `onTurn` now and whenever a file has changed, `onGone` when the program no longer answers. A page that
 * nobody sees does not listen: a browser grants one address only a few connections, for all its pages together.
 */
export function follow(onTurn, onGone) {
  let turns;
  const listen = () => {
    turns?.close();
    turns = undefined;
    if (document.hidden) return;
    turns = new EventSource("turns");
    turns.onmessage = ({ data }) => onTurn(Number(data));
    turns.onerror = () => {
      onGone();
      // The browser tries again by itself unless it was refused: then another program may come to listen here.
      if (turns?.readyState === EventSource.CLOSED) setTimeout(listen, 2000);
    };
  };
  document.addEventListener("visibilitychange", listen);
  listen();
}
