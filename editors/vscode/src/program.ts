// Finds the `lope` program.

import { execFile } from "node:child_process";
import * as os from "node:os";
import * as path from "node:path";
import { promisify } from "node:util";

/** The program that was found, and what it says its version is. */
export interface Program {
  path: string;
  version: string;
}

/** Why there is no program: for the player, and without a full stop. */
export class Missing extends Error {}

/**
 * The program at `configured`; where that is empty, the one on the PATH, or the one that `cargo install` leaves
 * in the home folder: an editor started from a desktop often has another PATH than a terminal.
 */
export async function findProgram(configured: string): Promise<Program> {
  if (configured !== "") {
    const file = configured.replace(/^~(?=[/\\])/, os.homedir());
    return ask(file).catch((error: unknown) => {
      throw new Missing(`the setting lope.path says ${configured}, which does not run: ${reason(error)}`);
    });
  }
  for (const file of ["lope", path.join(os.homedir(), ".cargo", "bin", "lope")]) {
    try {
      return await ask(file);
    } catch {
      // The next place is tried; the last one's failure says no more than that none was there.
    }
  }
  throw new Missing("the lope program is neither on the PATH nor in ~/.cargo/bin");
}

/** What the program at `file` says to `args`. */
export async function run(file: string, ...args: string[]): Promise<string> {
  const { stdout } = await promisify(execFile)(file, args, { timeout: 10_000 });
  return stdout;
}

/** What the program at `file` finds in `folder`, as JSON. How it ends says the same once more. */
export function check(file: string, folder: string): Promise<string> {
  return new Promise((resolve, reject) => {
    // A book of ten thousand findings is some megabytes.
    const options = { cwd: folder, maxBuffer: 1 << 30 };
    execFile(file, ["check", "--as", "json"], options, (error, stdout) => {
      if (stdout.startsWith("{")) {
        resolve(stdout);
      } else {
        reject(error ?? new Error("lope check said nothing"));
      }
    });
  });
}

async function ask(file: string): Promise<Program> {
  const said = (await run(file, "--version")).trim();
  const version = /^lope (\S+)$/.exec(said)?.[1];
  if (version === undefined) {
    throw new Error(`it says ${JSON.stringify(said.slice(0, 40))} when asked for its version`);
  }
  return { path: file, version };
}

function reason(error: unknown): string {
  return error instanceof Error ? (error.message.split("\n")[0] ?? "") : String(error);
}
