// Judges pages that `lope make` wrote, as they lie on a disk: node files.mjs FILE... [--pictures FOLDER]. Each is looked
// at in light and dark, wide and on a phone. Prints each look, and at last `all of it`.

import assert from "node:assert/strict";
import path from "node:path";
import { parseArgs } from "node:util";
import { pathToFileURL } from "node:url";

import { launch } from "./browser.mjs";
import { judge } from "./steps/common.mjs";

const { values, positionals: files } = parseArgs({ allowPositionals: true, options: { pictures: { type: "string" } } });
const looks = ["light", "dark"].flatMap((colorScheme) =>
  [{ width: 1280, height: 860 }, { width: 390, height: 844 }].map((viewport) => ({ colorScheme, viewport })),
);
/** The words and frets that do not lie within their picture. */
function cutOff() {
  const pictures = [...document.querySelectorAll("svg")].filter((svg) => svg.getBoundingClientRect().width > 0);
  return pictures.flatMap((svg) => {
    const { left, right } = svg.getBoundingClientRect();
    const isCut = (text) => text.getBoundingClientRect().left < left - 1 || text.getBoundingClientRect().right > right + 1;
    return [...svg.querySelectorAll("text")].filter(isCut).map((text) => text.textContent);
  });
}

const browser = await launch();
try {
  for (const file of files) {
    const { href } = pathToFileURL(path.resolve(file));
    for (const look of looks) {
      const page = await browser.newPage(look);
      const asked = [];
      page.on("request", (request) => asked.push(request.url()));
      await page.goto(href);
      const name = `${path.basename(file)}-${look.colorScheme}-${look.viewport.width}`;
      if (values.pictures) await page.screenshot({ path: path.join(values.pictures, `${name}.png`) });
      await judge(page);
      const elsewhere = asked.filter((url) => !url.startsWith("data:"));
      assert.deepEqual(elsewhere, [href], "a page asks for nothing but itself");
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - globalThis.innerWidth);
      assert.ok(wide <= 0, `${name}: ${wide} points wider than the window`);
      assert.deepEqual(await page.evaluate(cutOff), [], `${name}: what the edge of a picture cuts off`);
      await page.close();
      console.log(name);
    }
  }
} finally {
  await browser.close();
}
console.log("all of it");
