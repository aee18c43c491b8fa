// The book: tunes to choose from.

import assert from "node:assert/strict";
import { readFileSync, rmSync, writeFileSync } from "node:fs";
import path from "node:path";

import { TUNE, fileOf, judge, openTune } from "./common.mjs";

async function a_book_is_a_list_of_tunes_to_choose_from({ page, address, shoot }) {
  await page.goto(address);
  const tunes = page.locator("#tunes a");
  await tunes.first().waitFor();
  assert.ok((await tunes.count()) >= 10);
  await judge(page);
  await shoot("book");
  await page.getByLabel("Find").fill("wet step");
  assert.equal(await tunes.count(), 1);
  assert.match(await tunes.textContent(), /jig, 6\/8, gDGBD\s*6 findings/);
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await page.locator("#music [data-bar]").first().waitFor();
  assert.equal(await page.locator("h1").textContent(), TUNE);
  assert.equal(await page.title(), `${TUNE} – Lope`);
  await page.getByRole("button", { name: "All tunes" }).click();
  await page.getByLabel("Find").waitFor();
  await page.getByLabel("Find").fill("no such tune");
  await page.getByText("No tune here has that in its name").waitFor();
}

async function what_is_written_in_a_tune_stays_text({ page, folder, address }) {
  const file = path.join(folder, "zz-hostile.lope");
  const title = "<img src=x onerror=document.title='broken-in'>";
  const text = readFileSync(fileOf(folder, TUNE), "utf8");
  writeFileSync(file, text.replace(`tune: ${TUNE}`, `tune: ${title}`).replace("| 4:2", `| "<b>&amp;</b>" <G<i>> 4:2`));
  await page.goto(address);
  await page.getByRole("link", { name: "onerror" }).click();
  await page.locator("#music [data-bar]").first().waitFor();
  assert.equal(await page.locator("h1").textContent(), title);
  assert.equal(await page.locator("main img, main b, main i").count(), 0);
  assert.equal(await page.title(), `${title} – Lope`);
  rmSync(file);
  await page.getByText("This tune is gone").waitFor();
  await openTune({ page, address });
}

export const steps = [
  a_book_is_a_list_of_tunes_to_choose_from,
  what_is_written_in_a_tune_stays_text,
];
