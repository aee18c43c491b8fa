// A tune as a sheet beside its text: the page of `lope view` in a panel, for as long as the panel is open.

import { type ChildProcess, spawn } from "node:child_process";
import { randomUUID } from "node:crypto";
import * as path from "node:path";
import { createInterface } from "node:readline";
import * as vscode from "vscode";

import type { Server } from "./server";

/** The panels that are open, by the files they show. */
const panels = new Map<string, vscode.WebviewPanel>();

/** Shows the file that is open in a panel beside it, or brings the one that shows it to the front. */
export async function viewBeside(server: Server): Promise<void> {
  const document = vscode.window.activeTextEditor?.document;
  const { program } = server;
  if (document === undefined || document.uri.scheme !== "file" || program === undefined) {
    const why = program === undefined ? "The lope program does not run." : "Save the tune to a file first.";
    void vscode.window.showInformationMessage(why);
    return;
  }
  const file = document.uri.fsPath;
  const open = panels.get(file);
  if (open !== undefined) {
    open.reveal(undefined, true);
    return;
  }
  await document.save();
  const shown = start(program.path, file);
  try {
    panels.set(file, show(file, await addressOf(shown), shown));
  } catch (error) {
    shown.kill();
    void vscode.window.showErrorMessage(`The sheet cannot be shown: ${error instanceof Error ? error.message : String(error)}.`);
  }
}

/** The program, which ends with its input: also when the editor is gone. */
function start(program: string, file: string): ChildProcess {
  return spawn(program, ["view", "--no-open", "--attached", file], { cwd: path.dirname(file), stdio: "pipe" });
}

/**
 * Where the page can be reached from here. The program, which may be on another machine, first prints its address
 * there; told where the editor hands its port on, it lets the page go by that name and prints the address anew.
 */
async function addressOf(shown: ChildProcess): Promise<string> {
  const { stdin, stdout, stderr } = shown;
  if (stdin === null || stdout === null) {
    throw new Error("the program cannot be spoken to");
  }
  // That it has ended meanwhile is told below.
  stdin.on("error", () => {});
  let complaint = "";
  stderr?.on("data", (data) => (complaint += String(data)));
  const lines = createInterface(stdout);
  const next = () =>
    new Promise<string>((resolve, reject) => {
      const gone = () => reject(new Error(complaint.trim().replace(/^lope: /, "") || "the program has ended"));
      shown.once("error", reject);
      shown.once("exit", gone);
      lines.once("line", resolve);
    });
  const { origin } = new URL(await next());
  const here = await vscode.env.asExternalUri(vscode.Uri.parse(origin));
  const address = next();
  stdin.write(`${here.toString(true)}\n`);
  return address;
}

function show(file: string, address: string, shown: ChildProcess): vscode.WebviewPanel {
  const place = { viewColumn: vscode.ViewColumn.Beside, preserveFocus: true };
  const panel = vscode.window.createWebviewPanel("lope.view", `${path.basename(file)}: sheet`, place, {
    enableScripts: true,
    // A tune goes on playing behind another panel.
    retainContextWhenHidden: true,
  });
  panel.webview.html = page(address);
  panel.onDidDispose(() => {
    panels.delete(file);
    shown.stdin?.end();
  });
  return panel;
}

/** A page with nothing but a frame for the program's own, and what to do where that does not say that it has come. */
function page(address: string): string {
  const { origin } = new URL(address);
  const nonce = randomUUID();
  const policy = `default-src 'none'; frame-src ${origin}; style-src 'unsafe-inline'; script-src 'nonce-${nonce}'`;
  return `<!doctype html>
<html lang="en">
  <head>
    <meta charset="utf-8" />
    <meta http-equiv="Content-Security-Policy" content="${policy}" />
    <style>
      html, body, iframe { width: 100%; height: 100%; margin: 0; padding: 0; border: none; display: block; }
      body { display: flex; flex-direction: column; }
      iframe { flex: 1; }
      p { margin: 0; height: 0; overflow: hidden; animation: late 0s 10s forwards; }
      @keyframes late { to { height: auto; margin: 1em; } }
    </style>
    <script nonce="${nonce}">
      addEventListener("message", ({ origin }) => origin === "${origin}" && document.querySelector("p").remove());
    </script>
  </head>
  <body>
    <p role="status">
      The sheet does not come from <a href="${address}">${origin}</a>. An editor in a browser shows it only where its
      server hands ports on; what else can be done is in the extension's README.
    </p>
    <iframe src="${address}" title="Sheet" allow="autoplay"></iframe>
  </body>
</html>`;
}
