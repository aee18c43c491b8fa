// Uses the page as a player does: node walk.mjs LOPE FOLDER [PICTURES]. FOLDER holds the demo book; pictures are kept
// where a folder for them is named. Prints each step that went well, and at last `all of it`.

import assert from "node:assert/strict";

import { launch, view, windowOf } from "./browser.mjs";
import { steps as book } from "./steps/book.mjs";
import { steps as looks } from "./steps/looks.mjs";
import { steps as player } from "./steps/player.mjs";
import { steps as saves } from "./steps/saves.mjs";

const [lope, folder, pictures] = process.argv.slice(2);
const wrongs = [];
const shown = await view(lope, folder);
const browser = await launch();
try {
  const page = await windowOf(browser, shown.address, wrongs);
  const shoot = async (name, of = page) => pictures && (await of.screenshot({ path: `${pictures}/${name}.png` }));
  const open = (options) => windowOf(browser, shown.address, wrongs, options);
  const stage = { page, folder, address: shown.address, end: shown.end, shoot, open };
  for (const step of [...book, ...player, ...saves, ...looks]) {
    const said = await step(stage);
    assert.deepEqual(wrongs, [], step.name);
    console.log(said ? `${step.name}: ${said}` : step.name);
  }
} finally {
  await browser.close();
  await shown.end();
}
console.log("all of it");
