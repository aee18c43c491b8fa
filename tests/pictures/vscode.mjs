// Makes the pictures of VS Code in editors/vscode/pictures, from the real editor on the demo book:
//   editors/vscode/build && node tests/pictures/vscode.mjs target/debug/lope
// Needs what tests/all installs. Look at the pictures before they are kept.

import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";

import { PATIENCE, open } from "../editors/vscode/code.mjs";

const root = path.resolve(import.meta.dirname, "../..");
const pictures = path.join(root, "editors/vscode/pictures");
const lope = path.resolve(process.argv[2]);
const data = mkdtempSync(path.join(tmpdir(), "lope-code-"));
const book = path.join(data, "harbour");
const extension = path.join(root, "editors/vscode/dist/pack");

execFileSync(lope, ["start", book]);
mkdirSync(path.join(book, ".vscode"));
const settings = {
  "workbench.colorTheme": "Default Light Modern",
  "workbench.activityBar.location": "hidden",
  "workbench.startupEditor": "none",
  "workbench.tips.enabled": false,
  "editor.minimap.enabled": false,
  "editor.fontSize": 15,
  "breadcrumbs.enabled": false,
  "window.commandCenter": false,
};
writeFileSync(path.join(book, ".vscode/settings.json"), JSON.stringify(settings));

const { page, close } = await open({
  folder: book,
  lope,
  data,
  address: (host) => ({
    payload: JSON.stringify([
      ["extensionDevelopmentPath", host + extension],
      ["openFile", `${host}${book}/mind-the-wet-step.lope`],
    ]),
  }),
});

/** Keeps the upper part of the window, `height` high. */
const keep = (name, height) =>
  page.screenshot({ path: path.join(pictures, `${name}.png`), clip: { x: 0, y: 0, width: 1100, height } });

try {
  page.setDefaultTimeout(PATIENCE);
  await page.locator(".squiggly-warning").first().waitFor();
  await page.keyboard.press("Control+b"); // the list of files goes
  await page.locator(".codelens-decoration a").first().waitFor();
  await page.locator("[class*='dyn-rule']").first().waitFor({ state: "attached" });
  await page.waitForTimeout(2000); // for things to settle: pictures are looked at, so this is no test
  mkdirSync(pictures, { recursive: true });
  await keep("findings", 520);

  await page.locator(".view-line").first().click();
  await page.keyboard.press("F8"); // to the first finding
  await page.keyboard.press("Escape");
  await page.keyboard.press("Control+k");
  await page.keyboard.press("Control+i");
  await page.locator(".monaco-hover-content:visible").first().waitFor();
  await page.waitForTimeout(1500);
  await keep("hover", 600);

  await page.keyboard.press("Escape");
  await page.keyboard.press("Control+.");
  await page.locator(".action-widget .monaco-list-row").first().waitFor();
  await page.waitForTimeout(500);
  await keep("mends", 520);

  await page.keyboard.press("Escape");
  await page.getByRole("button", { name: "View Beside" }).click();
  const panel = page.frameLocator("iframe.webview.ready").frameLocator("#active-frame");
  await panel.frameLocator("iframe[title=Sheet]").locator("#music svg").waitFor();
  await page.waitForTimeout(2000);
  await keep("sheet", 640);
} finally {
  await close();
  rmSync(data, { recursive: true, force: true, maxRetries: 5 });
}
