// What happens when the editor opens the first tune.

import * as vscode from "vscode";

import { checkBook } from "./book";
import { mendOpenFile, mendPartHere } from "./mend";
import { providePages, showRule } from "./rules";
import { Server } from "./server";
import { viewBeside } from "./view";

let server: Server | undefined;

export async function activate(context: vscode.ExtensionContext): Promise<void> {
  // The packer writes the name in small letters.
  const started = new Server(vscode.Uri.joinPath(context.extensionUri, "readme.md"));
  server = started;
  const commands: Record<string, (...args: never[]) => unknown> = {
    // `lope.mendFile` and the like are the server's: they are told which file.
    "lope.mendOpenFile": mendOpenFile,
    "lope.mendPartHere": mendPartHere,
    "lope.tidy": () => vscode.commands.executeCommand("editor.action.formatDocument"),
    "lope.showRule": (rule?: string) => showRule(started, rule),
    "lope.checkBook": () => checkBook(started),
    "lope.viewBeside": () => viewBeside(started),
    "lope.restart": () => started.restart(),
    "lope.showLog": () => started.showLog(),
  };
  context.subscriptions.push(
    started,
    providePages(started),
    ...Object.entries(commands).map(([name, run]) => vscode.commands.registerCommand(name, run)),
    vscode.workspace.onDidChangeConfiguration(async (change) => {
      if (change.affectsConfiguration("lope.path")) {
        await started.restart();
      }
    }),
  );
  await started.restart();
}

export async function deactivate(): Promise<void> {
  await server?.stop();
}
