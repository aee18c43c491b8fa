// The program, and a browser that nobody sees, which may load nothing but what the program gives it.

import { spawn } from "node:child_process";
import { createRequire } from "node:module";
import path from "node:path";
import { createInterface } from "node:readline";

const cache = path.resolve(import.meta.dirname, "../.cache");
const { chromium } = createRequire(path.join(cache, "vscode/"))("playwright-core");

/** Where the judge of accessibility is. */
export const AXE = createRequire(path.join(cache, "view/")).resolve("axe-core/axe.min.js");

/** `lope view`, started in `folder`: the address it prints, and what ends it. */
export async function view(lope, folder, ...args) {
  const program = spawn(lope, ["view", "--no-open", ...args], { cwd: folder, stdio: ["ignore", "pipe", "inherit"] });
  const ended = new Promise((resolve) => program.once("exit", resolve));
  const [address] = await Promise.race([
    new Promise((resolve) => createInterface(program.stdout).once("line", (line) => resolve([line]))),
    ended.then((code) => Promise.reject(new Error(`lope view ended with ${code}`))),
  ]);
  return {
    address,
    end: () => {
      program.kill("SIGINT");
      return ended;
    },
  };
}

export const launch = () =>
  chromium.launch({
    executablePath: "/usr/bin/chromium",
    args: ["--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--mute-audio"],
  });

/** Windows that may talk to `address` alone; whatever goes wrong in them is put into `wrongs`. */
export async function windowOf(browser, address, wrongs, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1280, height: 860 }, ...options });
  const page = await context.newPage();
  page.setDefaultTimeout(20_000);
  const { origin } = new URL(address);
  page.on("request", (request) => {
    if (!request.url().startsWith(origin) && !request.url().startsWith("data:")) wrongs.push(`asks ${request.url()}`);
  });
  page.on("pageerror", (error) => wrongs.push(`${error.stack}`));
  page.on("console", (message) => {
    // An answer such as 404 or 409 is one that the page deals with.
    const isAnswer = /Failed to load resource|ERR_CONNECTION|ERR_INCOMPLETE/.test(message.text());
    if (message.type() === "error" && !isAnswer) wrongs.push(message.text());
  });
  return page;
}
