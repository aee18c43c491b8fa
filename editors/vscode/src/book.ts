// The whole book at once, as the terminal shows it.

import * as vscode from "vscode";

import type { Server } from "./server";

/** Runs `lope check` on each folder of the workspace, in a terminal of its own. */
export async function checkBook(server: Server): Promise<void> {
  const folders = vscode.workspace.workspaceFolders ?? [];
  if (server.program === undefined || folders.length === 0) {
    void vscode.window.showInformationMessage(
      folders.length === 0 ? "Open the folder of your book first." : "The lope program does not run.",
    );
    return;
  }
  for (const folder of folders) {
    const check = new vscode.ProcessExecution(server.program.path, ["check"], { cwd: folder.uri.fsPath });
    const task = new vscode.Task({ type: "process" }, folder, "Check the book", "Lope", check);
    task.presentationOptions = { clear: true, panel: vscode.TaskPanelKind.Dedicated };
    await vscode.tasks.executeTask(task);
  }
}
