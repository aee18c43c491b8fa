// What several steps need.

import assert from "node:assert/strict";
import { readFileSync, readdirSync } from "node:fs";
import path from "node:path";

import { AXE } from "../browser.mjs";

/** The tune of the demo book that stumbles. */
export const TUNE = "Mind the Wet Step";

/** Where the file of a tune is. */
export function fileOf(folder, title) {
  const files = readdirSync(folder).filter((name) => name.endsWith(".lope"));
  const found = files.map((name) => path.join(folder, name)).find((file) => readFileSync(file, "utf8").includes(`tune: ${title}`));
  assert.ok(found, title);
  return found;
}

/** Opens a tune of the book. */
export async function openTune({ page, address }, title = TUNE) {
  await page.goto(address);
  await page.getByRole("link", { name: title }).click();
  await page.locator("#music [data-bar]").first().waitFor();
}

/** The bars that are chosen, by their numbers. */
export const chosen = (page) =>
  page.locator('#music [data-bar][aria-pressed="true"]').evaluateAll((bars) => bars.map((bar) => Number(bar.dataset.bar)));

/** Holds what is on the page against the Web Content Accessibility Guidelines 2.2, AA, by axe-core. */
export async function judge(page) {
  await page.evaluate(readFileSync(AXE, "utf8"));
  const { violations } = await page.evaluate(() =>
    globalThis.axe.run({
      runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
      // The frets and counts of a bar are pictures of what its name says in words.
      rules: { "label-content-name-mismatch": { enabled: false } },
    }),
  );
  const said = violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html, any }) => `${html.slice(0, 200)} ${any[0]?.message ?? ""}`).slice(0, 3).join("; ")}`);
  assert.deepEqual(said, []);
}
