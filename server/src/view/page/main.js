// The page: follows the files, and shows the book or the tune that its address names.

import * as bars from "./bars.js";
import * as book from "./book.js";
import { setLoop, showSpeed } from "./controls.js";
import { byId } from "./elements.js";
import * as findings from "./findings.js";
import "./keys.js";
import * as light from "./light.js";
import { GONE, askFor, follow } from "./lope.js";
import { notice } from "./notice.js";
import * as player from "./player.js";
import "./print.js";
import { recall, remember } from "./remembered.js";
import { draw, room } from "./sheet.js";

/** Pixels a point: how large the music is. */
const SCALES = [1, 1.2, 1.4, 1.7, 2, 2.5, 3];
let scale = recall("scale", innerWidth < 600 ? 1 : 1.4);

/** The tune that is shown. */
let which;
/** The only tune that there is, where there is one. */
let only;
/** Counts the askings: only the answer to the latest one is shown. */
let latest = 0;

async function refresh() {
  const mine = ++latest;
  // Most likely it is the same tune as before: asked for at the same time, it is there sooner.
  const likely = book.chosen() ?? only;
  const early = likely && askForTune(likely);
  early?.catch(() => {});
  try {
    const contents = await askFor("contents");
    if (mine !== latest) return;
    only = contents.is_file && contents.tunes.length === 1 ? contents.tunes[0] : undefined;
    // A second tune that is begun below the first one does not take its place.
    const wanted = only ?? book.chosen() ?? contents.tunes.find((tune) => contents.is_file && isSame(tune, which));
    notice("gone", undefined);
    byId("to-book").hidden = only !== undefined || !wanted;
    if (wanted) await showTune(wanted, isSame(wanted, likely) ? early : askForTune(wanted), mine);
    else showContents(contents);
    tell(contents, wanted);
  } catch (error) {
    if (mine !== latest) return;
    if (error.status === GONE) notice("file", "This tune is gone. What you see is what it last was.");
    else notice("gone", `The page does not follow: ${error.message}.`);
  }
}

/** Says what could not be read. What was shown before stays. */
function tell({ problems, is_file: isFile, tunes }, wanted) {
  const missing = isFile && tunes.length === 0;
  const stays = missing && which ? " What you see is what it last was." : "";
  const listed = problems.slice(0, 3).join(" · ") + (problems.length > 3 ? ` · and ${problems.length - 3} more` : "");
  notice("file", problems.length > 0 && (missing || !wanted) ? `${listed}.${stays}` : undefined);
}

const isSame = (one, other) => other !== undefined && one.file === other.file && one.number === other.number;

function showContents(contents) {
  if (contents.is_file && contents.tunes.length === 0) return;
  which = undefined;
  player.pause();
  title(contents.name);
  book.showBook(contents);
  show({ book: true });
}

function askForTune({ file, number }) {
  // The width of the music is known only while it has its place.
  show({ tune: true });
  return askFor("tune", { file, number, width: room(scale) });
}

async function showTune({ file, number }, answer, mine) {
  const tune = await answer;
  if (mine !== latest) return;
  const isOther = !isSame({ file, number }, which);
  which = { file, number };
  title(tune.title || "A tune without a title");
  if (isOther) scrollTo(0, 0);
  const redrawn = draw(tune.pages);
  if (redrawn) light.forget();
  if (isOther) bars.clear();
  bars.follow(tune);
  if (redrawn) bars.focus(redrawn.focused);
  findings.show(tune, which);
  player.take({ ...which, stamp: tune.stamp, tempo: tune.tempo, length: tune.bars.length });
  showSpeed();
}

function title(text) {
  byId("title").textContent = text;
  document.title = `${text} – Lope`;
}

function show({ book: isBook = false, tune: isTune = false }) {
  byId("book").hidden = !isBook;
  byId("tune").hidden = !isTune;
  byId("player").hidden = !isTune;
  if (isBook) byId("to-book").hidden = true;
}

function leave() {
  which = undefined;
  refresh();
}

byId("to-book").addEventListener("click", () => (location.hash ? (location.hash = "") : leave()));
addEventListener("hashchange", leave);

const music = byId("music");
music.addEventListener("click", (event) => {
  const finding = event.target.closest("[data-finding]");
  if (finding) return findings.open(Number(finding.dataset.finding));
  const bar = bars.barAt(event.target, event.clientX, event.clientY);
  if (!bar) return;
  bars.choose(bars.numberOf(bar), { extends: event.shiftKey || bars.tapGoesOn(player.wishes.loop) });
  bar.focus({ preventScroll: true });
});
bars.whenChosen(() => {
  if (bars.passage() && bars.isSeveral() && !player.wishes.loop) setLoop(true);
  player.startOver();
});

for (const [id, by] of [["smaller", -1], ["larger", 1]]) {
  byId(id).addEventListener("click", () => {
    const at = SCALES.findIndex((other) => other >= scale);
    scale = SCALES[Math.min(Math.max(at + by, 0), SCALES.length - 1)];
    remember("scale", scale);
    refresh();
  });
}

// A window of another width has room for other lines; asked for once it is no longer pulled about.
let resized;
let width = innerWidth;
addEventListener("resize", () => {
  if (innerWidth === width) return;
  width = innerWidth;
  clearTimeout(resized);
  resized = setTimeout(refresh, 150);
});

follow(refresh, () => notice("gone", "Lope has stopped. Start lope view again and open the address it gives; what you see stays."));

// An editor with the page in a frame cannot see whether it came.
if (parent !== window) parent.postMessage("here", "*");
