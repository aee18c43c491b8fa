// The player: heard, seen, and led by hand, key and finger.

import assert from "node:assert/strict";

import { chosen, openTune } from "./common.mjs";

const state = (page) => page.locator("#play").getAttribute("data-state");
const playing = (page) => page.locator('#play[data-state="playing"]').waitFor();
const still = (page) => page.locator('#play[data-state="still"]').waitFor();
const pressed = (page, id) => page.locator(`#${id}`).getAttribute("aria-pressed");
/** What the page asks for to be played, while `act` is done. */
async function askedFor(page, act) {
  const asking = page.waitForRequest(/\/due\?/);
  await act();
  return new URL((await asking).url()).searchParams;
}

async function what_sounds_is_lit_with_its_count({ page }) {
  await openTune({ page, address: page.url().split("#")[0] });
  await page.keyboard.press("Space");
  await playing(page);
  await page.locator(".lit.note").waitFor();
  // A note is lit within its bar, over the note itself, and the count below it.
  const lies = await page.waitForFunction(() => {
    const box = (selector) => document.querySelector(selector)?.getBoundingClientRect();
    const [note, count, bar] = [".lit.note", ".lit.count", ".lit.bar"].map(box);
    return note && count && bar && note.left >= bar.left - 8 && note.right <= bar.right + 8 && count.top > note.top;
  });
  assert.ok(lies);
  // Well within a bar, so that it is the same one when it goes on.
  await page.waitForFunction(() => {
    const said = (id) => document.querySelector(id).textContent;
    return /^Part A, bar [2-9]/.test(said("#place")) && said("#count") === "3";
  });
  await page.keyboard.press("Space");
  await still(page);
  assert.equal(await page.locator(".lit.note, .lit.bar, .lit.count").count(), 0);
  // It goes on where it was.
  const place = await page.locator("#place").textContent();
  assert.match(place, /^Part A, bar [2-9]/);
  await page.keyboard.press("Space");
  await playing(page);
  assert.equal(await page.locator("#place").textContent(), place);
  await page.keyboard.press("Home");
  await page.waitForFunction(() => document.querySelector("#place").textContent === "Part A, bar 1");
  await page.keyboard.press("Space");
  await still(page);
}

async function caution_about_speed_is_given_once({ page }) {
  const caution = page.locator("#caution");
  assert.ok(await caution.isHidden());
  const asked = await askedFor(page, async () => {
    await page.getByRole("button", { name: "Faster" }).click();
    await page.keyboard.press("Space");
    await page.locator("#play").click();
  });
  assert.ok(Number(asked.get("speed")) > 100);
  assert.match(await caution.textContent(), /Stop at\s+pain, numbness or tingling/);
  await page.locator("#play").click();
  await still(page);
  await page.getByRole("button", { name: "Understood" }).click();
  assert.ok(await caution.isHidden());
  await page.reload();
  await page.locator("#music [data-bar]").first().waitFor();
  await page.getByRole("button", { name: "Slower" }).click();
  assert.ok(await caution.isHidden());
  assert.equal(await page.locator("#speed").textContent(), "95 %");
  assert.equal(await page.locator("#beats").textContent(), "95 beats a minute");
  await page.keyboard.press("+");
  assert.equal(await page.locator("#speed").textContent(), "100 %");
}

async function chosen_bars_are_played_over({ page, shoot }) {
  const bar = (number) => page.locator(`#music [data-bar="${number}"]`);
  await bar(1).click({ force: true });
  assert.deepEqual(await chosen(page), [1]);
  await bar(2).click({ force: true, modifiers: ["Shift"] });
  assert.deepEqual(await chosen(page), [1, 2]);
  const heights = await page.locator(".lit.chosen").evaluateAll((frames) => frames.map((frame) => frame.getAttribute("height")));
  assert.equal(new Set(heights).size, 1, `frames along a line are as high as each other: ${heights}`);
  assert.equal(await pressed(page, "loop"), "true", "several bars are chosen to be played over");
  assert.equal(await page.locator("#selected-bars").textContent(), "Part A, bar 2 to bar 3");
  // Two bars of 6/8 at twice 100 beats a minute: 1.2 seconds a round.
  for (let speed = 100; speed < 200; speed += 5) await page.keyboard.press("+");
  const asked = await askedFor(page, () => page.keyboard.press("Space"));
  assert.deepEqual([asked.get("bars"), asked.get("over"), asked.get("speed")], ["1-2", "true", "200"]);
  await playing(page);
  const places = await page.evaluate(async () => {
    const seen = [];
    const end = performance.now() + 4000;
    while (performance.now() < end) {
      const place = document.querySelector("#place").textContent;
      if (seen.at(-1) !== place) seen.push(place);
      await new Promise(requestAnimationFrame);
    }
    return seen;
  });
  assert.ok(places.length >= 4 && places.every((place) => /^Part A, bar [23]$/.test(place)), places.join());
  await shoot("loop");
  await page.getByRole("button", { name: "Whole tune" }).click();
  assert.deepEqual(await chosen(page), []);
  await page.keyboard.press("l");
  assert.equal(await pressed(page, "loop"), "false");
  await page.keyboard.press("Space");
  await still(page);
}

async function hands_count_in_and_click_are_asked_for({ page }) {
  for (const [key, id] of [["1", "right"], ["3", "drone"], ["c", "count-in"], ["k", "click"]]) {
    const before = await pressed(page, id);
    await page.keyboard.press(key);
    assert.notEqual(await pressed(page, id), before, id);
  }
  const asked = await askedFor(page, () => page.keyboard.press("Space"));
  assert.deepEqual([asked.get("hands"), asked.get("count_in"), asked.get("click")], ["left", "true", "true"]);
  await playing(page);
  await page.keyboard.press("Space");
  for (const id of ["right", "drone", "count-in", "click"]) await page.locator(`#${id}`).click();
  assert.equal(await state(page), "still");
}

async function bars_are_chosen_by_keys_alone({ page }) {
  await page.locator("#music").focus();
  await page.keyboard.press("Tab");
  const at = () => page.evaluate(() => document.activeElement.dataset.bar);
  assert.equal(await at(), "0");
  assert.match(await page.evaluate(() => document.activeElement.getAttribute("aria-label")), /^part A, bar 1: /);
  await page.keyboard.press("ArrowRight");
  // The frame around it is as high as all of its line, strokes and counts included.
  const frame = await page.evaluate(() => {
    const at = document.activeElement;
    const line = [...at.closest(".system").querySelectorAll(".bar")].map((bar) => bar.getBoundingClientRect());
    const box = document.querySelector(".lit.focused").getBoundingClientRect();
    return line.every(({ top, bottom }) => box.top < top && bottom < box.bottom) && box.left < at.getBoundingClientRect().left;
  });
  assert.ok(frame);
  await page.keyboard.press("Enter");
  await page.keyboard.press("Shift+ArrowRight");
  await page.keyboard.press("Shift+ArrowRight");
  assert.equal(await at(), "3");
  assert.deepEqual(await chosen(page), [1, 2, 3]);
  await page.keyboard.press("Escape");
  assert.deepEqual(await chosen(page), []);
  await page.keyboard.press("l");
  await page.getByRole("button", { name: "Keys" }).click();
  await page.getByLabel("Single letters and signs are keys").uncheck();
  await page.getByRole("button", { name: "Close" }).click();
  const loop = await pressed(page, "loop");
  await page.keyboard.press("l");
  assert.equal(await pressed(page, "loop"), loop, "letters are no keys any more");
  await page.evaluate(() => localStorage.removeItem("lope.single-keys"));
}

async function fingers_choose_bars_as_well({ open, address }) {
  const page = await open({ viewport: { width: 390, height: 844 }, hasTouch: true, isMobile: true });
  await openTune({ page, address });
  const bar = (number) => page.locator(`#music [data-bar="${number}"]`);
  await page.locator("#loop").tap();
  await page.getByRole("button", { name: "Understood" }).tap();
  await bar(0).tap({ force: true });
  await bar(1).tap({ force: true });
  assert.deepEqual(await chosen(page), [0, 1]);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - innerWidth);
  assert.ok(wide <= 0, "nothing is wider than the window");
  await page.context().close();
}

export const steps = [
  what_sounds_is_lit_with_its_count,
  caution_about_speed_is_given_once,
  chosen_bars_are_played_over,
  hands_count_in_and_click_are_asked_for,
  bars_are_chosen_by_keys_alone,
  fingers_choose_bars_as_well,
];
