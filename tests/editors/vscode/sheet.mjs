// Looks at the sheet in its panel: node sheet.mjs EXTENSION LOPE TUNE NAME [PICTURE]. VS Code is a server that goes by
// NAME, which the browser takes for this machine. Prints what was seen, as JSON.

import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";

import { PATIENCE, open } from "./code.mjs";

const [extension, lope, tune, name, picture] = process.argv.slice(2);
const data = mkdtempSync(path.join(tmpdir(), "lope-code-"));

const { page, close } = await open({
  folder: path.dirname(tune),
  lope,
  data,
  name,
  address: (host) => ({
    payload: JSON.stringify([
      ["extensionDevelopmentPath", host + extension],
      ["openFile", host + tune],
    ]),
  }),
});
try {
  page.setDefaultTimeout(PATIENCE);
  await page.locator(".squiggly-warning").first().waitFor();
  await page.getByRole("button", { name: "View Beside" }).click();
  const panel = page.frameLocator("iframe.webview.ready").frameLocator("#active-frame");
  const sheet = panel.frameLocator("iframe[title=Sheet]");
  const drawn = sheet.locator("#music svg");
  await drawn.first().waitFor();
  const seen = { title: await drawn.first().getAttribute("aria-label"), bars: await drawn.locator("[data-bar]").count() };

  // Typed into the text and saved, a new title is soon on the sheet.
  await page.locator(".view-line", { hasText: "tune:" }).click();
  await page.keyboard.press("End");
  await page.keyboard.type(" Again");
  await page.keyboard.press("Control+s");
  await sheet.locator("#music text", { hasText: " Again" }).waitFor();
  seen.saved = await drawn.first().getAttribute("aria-label");
  // What a mend does is asked for by POST, which tells where it is asked from.
  const trouble = sheet.locator("[data-finding]");
  seen.findings = await trouble.count();
  await sheet.locator("#found .mend").first().click();
  await trouble.nth(seen.findings - 1).waitFor({ state: "detached" });
  seen.mended = await trouble.count();
  seen.late = await panel.locator("p").count();
  if (picture) await page.screenshot({ path: picture });
  process.stdout.write(JSON.stringify(seen));
} finally {
  await close();
  rmSync(data, { recursive: true, force: true, maxRetries: 5 });
}
