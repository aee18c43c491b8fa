// The player: what is to be played and how, fetched, sounded and followed.

import * as bars from "./bars.js";
import { light, unlight } from "./light.js";
import { CHANGED, ask, askFor } from "./lope.js";
import { notice } from "./notice.js";
import { barElement, countElement, eventElement } from "./sheet.js";
import * as sound from "./sound.js";

/** The slowest and the fastest, and a step, in percent of the written tempo. */
export const SPEEDS = { least: 10, most: 200, step: 5 };

export const wishes = {
  speed: 100,
  loop: false,
  countIn: false,
  click: false,
  hands: new Set(["right", "left", "drone"]),
};

/** Which tune it is, and the stamp of its file. */
let tune;
/** What was fetched last: `due`, the decoded `buffer`, and what was asked for it. */
let loaded;
let loading;
/** Where to go on: a place in playing and how much of its bar is over; from the start where there is none. */
let resume;
let state = "still";
let listener = () => {};

/** Calls `told` with the state, the place in playing and the count, whenever one is another. */
export const whenPlaying = (told) => (listener = told);

export const isPlaying = () => state === "playing";

/** Takes over a tune, or the new text of the same one. */
export function take(which) {
  const isOther = tune === undefined || tune.file !== which.file || tune.number !== which.number;
  const isNew = isOther || tune.stamp !== which.stamp;
  tune = which;
  if (isOther) rewind();
  else if (isNew && isPlaying()) goOn();
}

export async function toggle() {
  if (state === "still") await play();
  else pause();
}

export async function play() {
  await begin(resume);
}

export function pause() {
  resume = place() ?? resume;
  halt();
}

/** Back to the start: of what is chosen, or of the tune. */
export function rewind() {
  const again = isPlaying();
  halt();
  resume = undefined;
  tell();
  if (again) begin();
}

/** Something about what is to be played is another: goes on with it where it is. */
export async function goOn() {
  if (isPlaying() || state === "loading") await begin(place() ?? resume);
}

/** Other bars are to be played: starts with the first of them. */
export function startOver() {
  resume = undefined;
  if (isPlaying() || state === "loading") begin();
  else tell();
}

/** The speed as a player would say it, in beats a minute. */
export const beats = () => Math.round((tune?.tempo ?? 0) * wishes.speed) / 100;

function asked() {
  const range = bars.passage();
  // Without a loop it is from the first chosen bar on to the end.
  const chosen = range && `${range[0]}-${wishes.loop ? range[1] : tune.length - 1}`;
  return {
    file: tune.file,
    number: tune.number,
    stamp: tune.stamp,
    speed: wishes.speed,
    count_in: wishes.countIn,
    click: wishes.click,
    over: wishes.loop,
    bars: chosen,
    hands: [...wishes.hands].join(),
  };
}

async function begin(from) {
  const first = state === "still";
  if (first) change("loading");
  try {
    await sound.awake();
    if (state === "still") return;
    const now = await load(asked());
    if (now === undefined) return;
    sound.start(now.buffer, secondOf(now.due, from), now.due.round ?? undefined, ended);
    change("playing");
    requestAnimationFrame(follow);
  } catch (error) {
    // Whoever asked meanwhile for something else has the word.
    if (error.name === "AbortError") return;
    halt();
    if (error.status !== CHANGED) notice("failed", `Nothing can be played: ${error.message}.`, 8000);
  }
}

/** Fetches what is asked for, unless it is there; gives up what was being fetched before. */
async function load(wanted) {
  loading?.abort();
  const key = JSON.stringify(wanted);
  if (loaded?.key === key) return loaded;
  const mine = (loading = new AbortController());
  const [due, file] = await Promise.all([
    askFor("due", wanted, mine.signal),
    ask("sound", wanted, mine.signal).then((answer) => answer.arrayBuffer()),
  ]);
  const buffer = await sound.decode(file);
  if (mine.signal.aborted) return undefined;
  return (loaded = { key, due, buffer });
}

/** The second at which the bar at a place has gone by as much as it had; the start where it is not played. */
function secondOf({ bars: played, start }, from) {
  const bar = from && played.find(([, , at]) => at === from.place);
  if (!bar) return from ? start : 0;
  return bar[0] + (bar[1] - bar[0]) * from.part;
}

/** Where in playing it is now. */
function place() {
  const at = sound.position();
  if (at === undefined || !loaded) return undefined;
  const [start, end, number] = loaded.due.bars[latest(loaded.due.bars, at)] ?? [];
  return number === undefined ? undefined : { place: number, part: Math.min((at - start) / (end - start), 1) };
}

function halt() {
  loading?.abort();
  sound.stop();
  unlight();
  change("still");
}

function ended() {
  resume = undefined;
  halt();
}

/** Lights what sounds, once for each picture the screen shows. */
function follow() {
  const at = sound.position();
  if (!isPlaying() || at === undefined) return;
  const { bars: played, counts, events } = loaded.due;
  const bar = played[latest(played, at)];
  const count = counts[latest(counts, at)];
  const note = sounding(events, at);
  const drawnOf = ([, , row]) => bars.drawnAt(played[row][2]);
  const number = count && countElement(drawnOf(count), count[3]);
  light("count", number);
  light("bar", number?.closest("[data-bar]") ?? (bar && barElement(bars.drawnAt(bar[2]))));
  light("note", note && eventElement(drawnOf(note), note[3]));
  tell(bar?.[2], count?.[1] ?? counted(at));
  requestAnimationFrame(follow);
}

/** The last of `rows` that has begun at `at`; -1 where none has. */
function latest(rows, at) {
  let [low, high] = [0, rows.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (rows[middle][0] <= at) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

function sounding(events, at) {
  const event = events[latest(events, at)];
  return event && at < event[1] ? event : undefined;
}

/** What is counted before the start. */
function counted(at) {
  return at < loaded.due.start ? "…" : "";
}

function change(now) {
  state = now;
  tell();
}

let told = "";
function tell(at = resume?.place ?? bars.passage()?.[0], count = "") {
  const words = `${state} ${at} ${count}`;
  if (words === told) return;
  told = words;
  listener({ state, place: at, count });
}
