// A tune as a sheet beside its text: the page of `lope view` in a panel, for as long as the panel is open.

import { type ChildProcess, spawn } from "node:child_process";
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
    const address = await addressOf(shown);
    panels.set(file, show(file, await reachable(address), shown));
  } catch (error) {
    shown.kill();
    void vscode.window.showErrorMessage(`The sheet cannot be shown: ${error instanceof Error ? error.message : String(error)}.`);
  }
}

/** The program, which ends with its input: also when the editor is gone. */
function start(program: string, file: string): ChildProcess {
  return spawn(program, ["view", "--no-open", "--attached", file], { cwd: path.dirname(file), stdio: "pipe" });
}

/** What the program prints first: where its page is. */
function addressOf(shown: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    let complaint = "";
    shown.stderr?.on("data", (data) => (complaint += String(data)));
    shown.once("error", reject);
    shown.once("exit", () => reject(new Error(complaint.trim().replace(/^lope: /, "") || "the program has ended")));
    if (shown.stdout !== null) {
      createInterface(shown.stdout).once("line", resolve);
    }
  });
}

/** Where the page at an address can be reached from here; the program may be on another machine. */
async function reachable(address: string): Promise<string> {
  const { origin, pathname } = new URL(address);
  // Some editors hand a port on below a path of their own, and forget the one that they are asked for.
  const here = (await vscode.env.asExternalUri(vscode.Uri.parse(origin))).toString(true);
  return new URL(pathname.slice(1), here.endsWith("/") ? here : `${here}/`).href;
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

/** A page with nothing but a frame for the program's own. */
function page(address: string): string {
  const { origin } = new URL(address);
  const policy = `default-src 'none'; frame-src ${origin}; style-src 'unsafe-inline'`;
  return `<!doctype html>
<html lang="en">
  <head>
    <meta charset="utf-8" />
    <meta http-equiv="Content-Security-Policy" content="${policy}" />
    <style>
      html, body, iframe { width: 100%; height: 100%; margin: 0; padding: 0; border: none; display: block; }
    </style>
  </head>
  <body><iframe src="${address}" title="Sheet" allow="autoplay"></iframe></body>
</html>`;
}
