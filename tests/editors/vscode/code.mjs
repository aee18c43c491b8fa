// VS Code as a server, with its window in a browser nobody sees.

import { spawn } from "node:child_process";
import { mkdirSync } from "node:fs";
import { createRequire } from "node:module";
import path from "node:path";

import { front } from "./front.mjs";

const cache = path.resolve(import.meta.dirname, "../../.cache");
const { chromium } = createRequire(path.join(cache, "vscode/"))("playwright-core");

/** No window takes this long to say something, in milliseconds; one that does never will. */
export const PATIENCE = 90_000;

/**
 * Starts VS Code with `folder` open and `lope`'s folder on its PATH. Everything it keeps goes below `data`.
 * `address` makes the rest of the window's address of the part of it that names the server; `prepare` is
 * given the page before anything is in it.
 */
export async function open({ folder, lope, data, flags = [], environment = {}, name = "127.0.0.1", address = () => "", prepare }) {
  const home = path.join(data, "home");
  mkdirSync(home, { recursive: true });
  const server = spawn(
    process.execPath,
    [
      path.join(cache, "code-server/lib/vscode/out/server-main.js"),
      ...["--host", "127.0.0.1", "--port", "0", "--without-connection-token", "--accept-server-license-terms"],
      ...["--telemetry-level", "off", "--disable-workspace-trust", "--server-data-dir", data],
      // Or it would ask a login shell for the PATH.
      ...["--force-disable-user-env", ...flags],
    ],
    {
      stdio: ["ignore", "pipe", "inherit"],
      env: {
        ...process.env,
        ...environment,
        HOME: home,
        PATH: `${path.dirname(lope)}:${process.env.PATH}`,
        EXTENSIONS_GALLERY: '{"serviceUrl":""}',
      },
    },
  );
  let browser;
  let before;
  const close = async () => {
    await browser?.close();
    before?.close();
    server.kill();
  };
  try {
    before = await front(await listening(server));
    const host = `${name}:${before.port}`;
    browser = await chromium.launch({
      executablePath: "/usr/bin/chromium",
      args: [
        ...["--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"],
        ...["--disable-background-networking", "--disable-component-update"],
        // A name that nobody has, and that may do what only pages from https may.
        ...[`--host-resolver-rules=MAP ${name} 127.0.0.1`, `--unsafely-treat-insecure-origin-as-secure=http://${host}`],
      ],
    });
    const page = await browser.newPage({ viewport: { width: 1100, height: 640 } });
    await prepare?.(page);
    const query = new URLSearchParams({ folder, ...address(`vscode-remote://${host}`) });
    await page.goto(`http://${host}/?${query}`);
    return { page, close };
  } catch (error) {
    await close();
    throw error;
  }
}

/** The port that the server says it listens at. */
function listening(server) {
  return new Promise((resolve, reject) => {
    let said = "";
    server.stdout.on("data", (data) => {
      said += data;
      const port = /listening on (\d+)/i.exec(said)?.[1];
      if (port !== undefined) resolve(Number(port));
    });
    server.on("error", reject);
    server.on("exit", (code) => reject(new Error(`VS Code ended with ${code}:\n${said}`)));
  });
}
