// The keyboard. Keys of one letter or sign can be turned off, for who speaks to the machine or hits them by accident.

import * as bars from "./bars.js";
import { actions } from "./controls.js";
import { byId, make } from "./elements.js";
import { recall, remember } from "./remembered.js";

/** What each key does: its name, what it is for, and the action. */
const KEYS = [
  [[" "], "Space", "play, pause", actions.play],
  [["Home"], "Home", "back to the start", actions["to-start"]],
  [["-"], "−", "slower", actions.slower],
  [["+", "="], "+", "faster", actions.faster],
  [["l"], "L", "loop", actions.loop],
  [["c"], "C", "count-in", actions["count-in"]],
  [["k"], "K", "click", actions.click],
  [["1"], "1", "right hand heard or not", actions.right],
  [["2"], "2", "left hand heard or not", actions.left],
  [["3"], "3", "drone heard or not", actions.drone],
  [["Escape"], "Esc", "no bars chosen", actions.clear],
];

const OF_BARS = [
  ["← →", "from bar to bar"],
  ["Shift ← →", "choose bars on the way"],
  ["Enter", "choose the bar"],
];

const ACTIONS = new Map(KEYS.flatMap(([keys, , , act]) => keys.map((key) => [key, act])));

const single = byId("single-keys");
single.checked = recall("single-keys", true);
single.addEventListener("change", () => remember("single-keys", single.checked));

byId("keys").append(
  ...[...KEYS.map(([, name, what]) => [name, what]), ...OF_BARS].flatMap(([name, what]) => [
    make("dt", {}, make("kbd", {}, name)),
    make("dd", {}, what),
  ]),
);
byId("to-help").addEventListener("click", () => byId("help").showModal());

document.addEventListener("keydown", (event) => {
  const { key, target } = event;
  if (event.ctrlKey || event.metaKey || event.altKey || byId("player").hidden) return;
  if (target.closest("input, dialog")) return;
  if (onBars(event)) {
    event.preventDefault();
    return;
  }
  const act = ACTIONS.get(key.length === 1 ? key.toLowerCase() : key);
  // A button that has the focus keeps its own keys.
  const taken = key === " " && target.closest("button, a");
  if (!act || taken || (key.length === 1 && !single.checked)) return;
  event.preventDefault();
  act();
});

/** Arrows and Enter, at a bar. */
function onBars({ key, target, shiftKey }) {
  const bar = target.closest?.("[data-bar]");
  if (!bar) return false;
  if (key === "Enter") bars.choose(bars.numberOf(bar), { extends: shiftKey });
  else if (key === "ArrowRight") bars.step(1, shiftKey);
  else if (key === "ArrowLeft") bars.step(-1, shiftKey);
  else return false;
  return true;
}
