// The bars that are chosen to be played, and the one that the keyboard is at. Bars go by where they are drawn; places
// by the order in which they are played, in which a bar can come more than once.

import { byId, bringIntoSight } from "./elements.js";
import * as marks from "./light.js";
import { barElement, bars } from "./sheet.js";

/** For each place in playing, where its bar is drawn. */
let drawn = [];
/** For each place, how a player says it. */
let names = [];
/** The first bar that was chosen, and the one it goes up to. */
let from;
let to;
let onChange = () => {};

export const whenChosen = (listener) => (onChange = listener);

/** Takes over what a new drawing says of its bars; what was chosen stays chosen where it still is there. */
export function follow(tune) {
  ({ drawn, bars: names } = tune);
  if (barElement(from) === null || barElement(to) === null) from = to = undefined;
  for (const bar of bars()) {
    bar.setAttribute("role", "button");
    bar.setAttribute("tabindex", "-1");
    if (!bar.hasAttribute("aria-label")) bar.setAttribute("aria-label", "the bar goes on");
  }
  show();
}

/** Has the keyboard at a bar, as it was before a new drawing. */
export const focus = (number) => barElement(number)?.focus({ preventScroll: true });

// The frame around the bar the keyboard is at is as high as its line, strokes and counts included.
byId("music").addEventListener("focusin", ({ target }) => marks.light("focused", target.matches("[data-bar]:focus-visible") ? target : undefined));
byId("music").addEventListener("focusout", () => marks.light("focused", undefined));

/** What is chosen, as the first and the last place; the shortest way to play it. None where nothing is. */
export function passage() {
  if (from === undefined) return undefined;
  const [first, last] = [Math.min(from, to), Math.max(from, to)];
  let best;
  let start = -1;
  drawn.forEach((bar, place) => {
    if (bar === first) start = place;
    if (bar === last && start >= 0 && (best === undefined || place - start < best[1] - best[0])) best = [start, place];
  });
  return best;
}

export const isSeveral = () => from !== to;
export const drawnAt = (place) => drawn[place];

/** A place as a player says it. */
export function nameOf(place) {
  const { part, number } = names[place] ?? {};
  return part === undefined ? "" : `Part ${part}, ${number === 0 ? "pickup" : `bar ${number}`}`;
}

export function choose(bar, { extends: further = false } = {}) {
  if (bar === undefined || !drawn.includes(bar)) return;
  if (further && from !== undefined) to = bar;
  else from = to = bar;
  show();
  onChange();
}

export function clear() {
  if (from === undefined) return;
  from = to = undefined;
  show();
  onChange();
}

/** Goes `steps` bars on, from the one the keyboard is at, or the first. */
export function step(steps, further = false) {
  const all = [...bars()];
  const at = all.indexOf(document.activeElement);
  const next = all[Math.min(Math.max(at < 0 ? 0 : at + steps, 0), all.length - 1)];
  if (next === undefined) return;
  next.focus({ preventScroll: true });
  bringIntoSight(next);
  if (further && from === undefined && at >= 0) choose(numberOf(all[at]));
  if (further) choose(numberOf(next), { extends: true });
}

export const numberOf = (element) => Number(element.dataset.bar);

/** The bar at a point of the window: what is drawn there, or the space around it. */
export function barAt(target, x, y) {
  const hit = target.closest("[data-bar]");
  if (hit) return hit;
  return [...bars()].find((bar) => {
    const box = bar.getBoundingClientRect();
    return box.left <= x && x <= box.right && box.top - 12 <= y && y <= box.bottom + 12;
  });
}

/** Whether a tap goes on with what is chosen: while looping the second one does. */
export const tapGoesOn = (looping) => looping && from !== undefined && from === to;

function show() {
  const [first, last] = [Math.min(from, to), Math.max(from, to)];
  const isChosen = (bar) => from !== undefined && first <= bar && bar <= last;
  let entry;
  for (const bar of bars()) {
    bar.setAttribute("aria-pressed", String(isChosen(numberOf(bar))));
    if (isChosen(numberOf(bar))) entry ??= bar;
  }
  // Tab comes to the bar that is chosen, or to the first; arrows go on from there.
  (entry ?? bars()[0])?.setAttribute("tabindex", "0");
  marks.choose([...bars()].filter((bar) => isChosen(numberOf(bar))));
  say();
}

function say() {
  const range = passage();
  byId("selected").hidden = range === undefined;
  if (range === undefined) return;
  const [first, last] = range.map(nameOf);
  byId("selected-bars").textContent = first === last ? first : `${first} to ${last.replace(/^Part \S+, /, samePart(range) ? "" : "$&")}`;
}

const samePart = ([first, last]) => names[first]?.part === names[last]?.part;
