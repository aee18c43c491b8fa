// The player's controls: buttons that say what they do and whether they do it.

import * as bars from "./bars.js";
import { byId, bringIntoSight } from "./elements.js";
import * as player from "./player.js";
import { recall, remember } from "./remembered.js";
import { barElement } from "./sheet.js";

const { wishes, SPEEDS } = player;

const press = (id, is) => byId(id).setAttribute("aria-pressed", String(is));

/** What each control does, by its id; keys call the same. */
export const actions = {
  play: player.toggle,
  "to-start": player.rewind,
  slower: () => setSpeed(wishes.speed - SPEEDS.step),
  faster: () => setSpeed(wishes.speed + SPEEDS.step),
  loop() {
    caution();
    setLoop(!wishes.loop);
  },
  "count-in": () => flip("count-in", "countIn"),
  click: () => flip("click", "click"),
  right: () => hear("right"),
  left: () => hear("left"),
  drone: () => hear("drone"),
  clear: bars.clear,
};

for (const [id, act] of Object.entries(actions)) byId(id).addEventListener("click", act);

function setSpeed(speed) {
  caution();
  const now = Math.min(Math.max(speed, SPEEDS.least), SPEEDS.most);
  if (now === wishes.speed) return;
  wishes.speed = now;
  showSpeed();
  player.goOn();
}

export function showSpeed() {
  byId("speed").textContent = `${wishes.speed} %`;
  byId("beats").textContent = `${Math.round(player.beats())} beats a minute`;
  byId("slower").disabled = wishes.speed <= SPEEDS.least;
  byId("faster").disabled = wishes.speed >= SPEEDS.most;
}

export function setLoop(on) {
  wishes.loop = on;
  press("loop", on);
  player.goOn();
}

function flip(id, name) {
  wishes[name] = !wishes[name];
  press(id, wishes[name]);
  player.goOn();
}

function hear(hand) {
  if (!wishes.hands.delete(hand)) wishes.hands.add(hand);
  press(hand, wishes.hands.has(hand));
  player.goOn();
}

/** Says once what playing over and speeding up can do. */
function caution() {
  if (!recall("cautioned", false)) byId("caution").hidden = false;
}

byId("understood").addEventListener("click", () => {
  remember("cautioned", true);
  byId("caution").hidden = true;
  byId("faster").focus();
});

new ResizeObserver(([{ target }]) => {
  document.documentElement.style.scrollPaddingBottom = `${target.offsetHeight + 12}px`;
}).observe(byId("player"));

let followed;
player.whenPlaying(({ state, place, count }) => {
  const play = byId("play");
  play.dataset.state = state;
  play.setAttribute("aria-label", state === "still" ? "Play" : "Pause");
  byId("count").textContent = count;
  byId("place").textContent = place === undefined ? "From the start" : bars.nameOf(place);
  const bar = state === "playing" ? bars.drawnAt(place) : undefined;
  if (bar !== followed && bar !== undefined) keepInSight(barElement(bar));
  followed = bar;
});

/** Turns the page, as it were: only when what is played has left the window. */
function keepInSight(bar) {
  if (!bar) return;
  const box = bar.getBoundingClientRect();
  const [top, bottom] = [byId("title").getBoundingClientRect().bottom, byId("player").getBoundingClientRect().top];
  if (box.top < top || box.bottom > bottom) bringIntoSight(bar.closest(".system") ?? bar, "start");
}
