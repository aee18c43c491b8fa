// How it looks and reads: light, dark, small, on paper, to who does not see it; and its end.

import assert from "node:assert/strict";

import { judge, openTune } from "./common.mjs";

async function pictured({ open, address, shoot }, name, options) {
  const page = await open(options);
  await openTune({ page, address });
  await page.evaluate(() => document.fonts.ready);
  await judge(page);
  await shoot(name, page);
  await page.locator("#play").click();
  await page.locator(".lit.note").waitFor();
  await page.waitForFunction(() => /bar 2/.test(document.querySelector("#place").textContent));
  await page.locator("#play").click();
  await page.locator('#play[data-state="still"]').waitFor();
  return page;
}

async function everybody_can_use_it_by_light({ page: _, ...stage }) {
  const page = await pictured(stage, "light", { colorScheme: "light" });
  assert.ok(await page.evaluate(() => document.fonts.check('12px "Lope Sheet"')));
  await page.context().close();
}

async function everybody_can_use_it_in_the_dark(stage) {
  const page = await pictured(stage, "dark", { colorScheme: "dark" });
  const fret = await page.locator("#music text.text").last().evaluate((text) => getComputedStyle(text).fill);
  assert.equal(fret, "rgb(236, 231, 219)", "the music is light on dark");
  await page.context().close();
}

async function everybody_can_use_it_on_a_phone(stage) {
  const page = await pictured(stage, "phone", { viewport: { width: 390, height: 844 }, deviceScaleFactor: 2, hasTouch: true, isMobile: true });
  const height = await page.locator("#player").evaluate((player) => player.offsetHeight);
  assert.ok(height < 844 / 3, `the player leaves the music its room: ${height}`);
  const row = await page.evaluate(() => ["#play", "#slower", "#faster"].map((id) => document.querySelector(id).getBoundingClientRect()).map(({ top, height }) => Math.round(top + height / 2)));
  assert.ok(row.every((middle) => Math.abs(middle - row[0]) < 8), `speed stands beside playing: ${row}`);
  await page.context().close();
}

async function moving_about_is_not_for_everybody({ open, address }) {
  const page = await open({ reducedMotion: "reduce", viewport: { width: 700, height: 500 } });
  await openTune({ page, address });
  const moved = await page.evaluate(() => {
    document.querySelector("#findings .where").click();
    return scrollY;
  });
  assert.equal(await page.evaluate(() => scrollY), moved, "it is there at once");
  await page.context().close();
}

async function on_paper_is_the_music_alone({ page, address }) {
  await openTune({ page, address });
  const systems = await page.locator("#music .system").count();
  await page.evaluate(() => dispatchEvent(new Event("beforeprint")));
  await page.emulateMedia({ media: "print", colorScheme: "dark" });
  assert.ok(await page.locator("header").isHidden());
  assert.ok(await page.locator("#player").isHidden());
  assert.ok((await page.locator("#print > svg").count()) > systems);
  const ink = await page.locator("#print text.text").last().evaluate((text) => getComputedStyle(text).fill);
  assert.equal(ink, "rgb(27, 36, 48)", "dark on paper");
  await page.emulateMedia({ media: "screen", colorScheme: null });
  await page.evaluate(() => dispatchEvent(new Event("afterprint")));
  const pdf = await page.pdf({ format: "A4" });
  assert.ok(pdf.length > 10_000);
}

async function it_says_when_the_program_has_ended({ page, end }) {
  assert.equal(await end(), 0);
  await page.getByText("Lope has stopped.").waitFor();
  assert.ok((await page.locator("#music [data-bar]").count()) > 0);
}

export const steps = [
  everybody_can_use_it_by_light,
  everybody_can_use_it_in_the_dark,
  everybody_can_use_it_on_a_phone,
  moving_about_is_not_for_everybody,
  on_paper_is_the_music_alone,
  it_says_when_the_program_has_ended,
];
