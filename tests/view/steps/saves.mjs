// The page follows its files.

import assert from "node:assert/strict";
import { readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";

import { TUNE, fileOf, openTune } from "./common.mjs";

/** Saves `text`, and gives the milliseconds until the page has been drawn anew. */
async function saved(page, file, text) {
  await page.evaluate(() => {
    globalThis.redrawn = new Promise((resolve) => {
      const watcher = new MutationObserver(() => {
        watcher.disconnect();
        // The frame after the one that is prepared now has it on the screen.
        requestAnimationFrame(() => setTimeout(() => resolve(performance.timeOrigin + performance.now())));
      });
      watcher.observe(document.querySelector("#music"), { childList: true });
    });
  });
  const start = performance.timeOrigin + performance.now();
  writeFileSync(file, text);
  return (await page.evaluate(() => globalThis.redrawn)) - start;
}

async function a_save_is_on_the_page_at_once({ page, folder, address }) {
  await openTune({ page, address });
  const file = fileOf(folder, TUNE);
  const text = readFileSync(file, "utf8");
  const times = [];
  for (let turn = 0; turn < 41; turn += 1) {
    times.push(await saved(page, file, turn % 2 === 0 ? text.replace("| 4:2 t 4:2", "| 4:2 t 4:0") : text));
  }
  const sorted = times.slice(1).sort((a, b) => a - b);
  const at = (part) => sorted[Math.floor(sorted.length * part)].toFixed(0);
  await saved(page, file, text);
  return `from save to page: p50 ${at(0.5)} ms, p90 ${at(0.9)} ms of ${sorted.length}`;
}

async function it_stays_where_the_player_reads({ page, folder }) {
  const file = fileOf(folder, TUNE);
  const text = readFileSync(file, "utf8");
  await page.setViewportSize({ width: 700, height: 500 });
  await page.waitForTimeout(400);
  const bar = page.locator('#music [data-bar="12"]');
  await bar.scrollIntoViewIfNeeded();
  await bar.focus();
  const top = async () => (await bar.boundingBox()).y;
  const before = await top();
  // Words above the first bar move all the music down; what is read stays where it is.
  await saved(page, file, text.replace("| 4:2", '<Em> "slowly at first" | 4:2').replace('<Em> "slowly at first" | 4:2', '| <Em> "slowly at first" 4:2'));
  assert.ok(Math.abs((await top()) - before) < 2, `${before} ${await top()}`);
  assert.equal(await page.evaluate(() => document.activeElement.dataset.bar), "12", "the keyboard stays at its bar");
  await saved(page, file, text);
  await page.setViewportSize({ width: 1280, height: 860 });
}

async function a_finding_is_mended_on_the_page({ page, folder, shoot }) {
  const file = fileOf(folder, TUNE);
  const text = readFileSync(file, "utf8");
  await openTune({ page, address: page.url().split("#")[0] });
  await page.getByRole("heading", { name: "6 things found" }).waitFor();
  await page.locator('#music [data-finding="2"]').first().click();
  const card = page.locator('#found [data-mark="2"]');
  assert.ok(await card.locator(".where").evaluate((button) => button === document.activeElement));
  await card.locator(".where").click();
  assert.equal(await page.locator(".lit.pointed").count(), 1);
  await shoot("finding");
  await card.getByRole("button", { name: /^Why/ }).click();
  await page.getByText("off-strike (warning, right hand)").waitFor();
  await page.keyboard.press("Escape");
  await card.locator(".mend").first().click();
  await page.getByRole("heading", { name: "5 things found" }).waitFor();
  await page.getByText("Mended. Your editor can take it back.").waitFor();
  assert.notEqual(readFileSync(file, "utf8"), text);
  writeFileSync(file, text);
  await page.getByRole("heading", { name: "6 things found" }).waitFor();
}

async function a_broken_tune_is_drawn_as_far_as_it_goes({ page, folder }) {
  const file = fileOf(folder, TUNE);
  const text = readFileSync(file, "utf8");
  writeFileSync(file, text.replace("| 3:0 h2 2:0 ", "| {{{ 9:9 ?? "));
  await page.locator("#found .error").first().waitFor();
  assert.ok((await page.locator("#music [data-bar]").count()) >= 15);
  writeFileSync(file, text);
  await page.getByRole("heading", { name: "6 things found" }).waitFor();
}

async function a_file_that_goes_is_missed_until_it_is_back({ page, folder }) {
  const file = fileOf(folder, TUNE);
  const bars = await page.locator("#music [data-bar]").count();
  renameSync(file, `${file}~`);
  await page.getByText("This tune is gone. What you see is what it last was.").waitFor();
  assert.equal(await page.locator("#music [data-bar]").count(), bars);
  renameSync(`${file}~`, file);
  await page.locator("#notice").waitFor({ state: "hidden" });
}

async function what_is_played_changes_with_the_text({ page, folder }) {
  const file = fileOf(folder, TUNE);
  const text = readFileSync(file, "utf8");
  await page.locator("#play").click();
  await page.locator('#play[data-state="playing"]').waitFor();
  const asking = page.waitForRequest(/\/due\?/);
  writeFileSync(file, text.replace("| 4:2 t 4:2", "| 4:2 t 4:0"));
  await asking;
  await page.waitForFunction(() => /bar [2-8]/.test(document.querySelector("#place").textContent));
  await page.locator("#play").click();
  writeFileSync(file, text);
  rmSync(`${file}~`, { force: true });
}

export const steps = [
  a_save_is_on_the_page_at_once,
  it_stays_where_the_player_reads,
  a_finding_is_mended_on_the_page,
  a_broken_tune_is_drawn_as_far_as_it_goes,
  a_file_that_goes_is_missed_until_it_is_back,
  what_is_played_changes_with_the_text,
];
