// The whole book at once. The server shows what it finds in every tune among the problems, open or not; this says
// when the book has been gone through and how much there is.

import * as path from "node:path";
import * as vscode from "vscode";

import { check } from "./program";
import type { Server } from "./server";

const SHOW = "Show Problems";

/** What `lope check --as json` says, as far as it is read here. */
interface Report {
  summary: { files: number; errors: number; warnings: number; hints: number };
  problems: { path: string; message: string }[];
}

/** Checks each folder of the workspace as it is on the disk, and says how much is found. */
export async function checkBook(server: Server): Promise<void> {
  const folders = vscode.workspace.workspaceFolders?.filter(({ uri }) => uri.scheme === "file") ?? [];
  const { program } = server;
  if (program === undefined || folders.length === 0) {
    void vscode.window.showInformationMessage(
      folders.length === 0 ? "Open the folder of your book first." : "The lope program does not run.",
    );
    return;
  }
  const reports = await vscode.window.withProgress(
    { location: vscode.ProgressLocation.Notification, title: "Going through the book" },
    () => Promise.all(folders.map(async ({ uri }) => JSON.parse(await check(program.path, uri.fsPath)) as Report)),
  );
  say(reports);
}

function say(reports: Report[]): void {
  const count = (of: (report: Report) => number): number => reports.reduce((sum, report) => sum + of(report), 0);
  const files = counted(count(({ summary }) => summary.files), "file");
  const found = count(({ summary: { errors, warnings, hints } }) => errors + warnings + hints);
  const problem = reports.flatMap(({ problems }) => problems)[0];
  if (problem !== undefined) {
    void vscode.window.showWarningMessage(`${path.basename(problem.path)}: ${problem.message}.`);
  }
  if (found === 0) {
    void vscode.window.showInformationMessage(`Nothing stumbles in ${files}.`);
  } else {
    void vscode.window.showWarningMessage(`${counted(found, "finding")} in ${files}.`, SHOW).then(show);
  }
}

function show(chosen: string | undefined): void {
  if (chosen === SHOW) {
    void vscode.commands.executeCommand("workbench.actions.view.problems");
  }
}

/** `1 file`, `8 files`. */
function counted(number: number, what: string): string {
  return number === 1 ? `1 ${what}` : `${number} ${what}s`;
}
