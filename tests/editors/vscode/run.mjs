// Puts VS Code through the steps: node run.mjs EXTENSION LOPE TUNE. Prints what was seen, as JSON.

import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import path from "node:path";

import { PATIENCE, open } from "./code.mjs";

const [extension, lope, tune] = process.argv.slice(2);
const data = mkdtempSync(path.join(tmpdir(), "lope-code-"));

const seen = path.join(data, "seen.json");
let closing;

const ended = new Promise((resolve, reject) => {
  setTimeout(() => reject(new Error("the steps take too long")), PATIENCE).unref();
  open({
    folder: path.dirname(tune),
    lope,
    data,
    flags: ["--enable-smoke-test-driver"],
    environment: { LOPE_TUNE: tune, LOPE_SEEN: seen },
    address: (host) => ({
      payload: JSON.stringify([
        ["extensionDevelopmentPath", host + extension],
        ["extensionTestsPath", `${host}${import.meta.dirname}/steps.js`],
      ]),
    }),
    // The window calls these two with what the steps complain of, and with how they ended.
    prepare: async (page) => {
      await page.exposeFunction("codeAutomationLog", (_, words) => process.stderr.write(`${words.join(" ")}\n`));
      await page.exposeFunction("codeAutomationExit", (code) =>
        code === 0 ? resolve() : reject(new Error(`the steps ended with ${code}`)),
      );
    },
  }).then(({ close }) => (closing = close), reject);
});

try {
  await ended;
  process.stdout.write(readFileSync(seen));
} finally {
  await closing?.();
  rmSync(data, { recursive: true, force: true, maxRetries: 5 });
}
