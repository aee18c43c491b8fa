// Mends in bulk, by the server's own commands: only those that keep every pitch and every time.

import * as vscode from "vscode";

/** Makes every safe mend in the open file. */
export async function mendOpenFile(): Promise<void> {
  const document = vscode.window.activeTextEditor?.document;
  if (document !== undefined) {
    await vscode.commands.executeCommand("lope.mendFile", document.uri.toString());
  }
}

/** Makes every safe mend in the part at the cursor. */
export async function mendPartHere(): Promise<void> {
  const editor = vscode.window.activeTextEditor;
  if (editor === undefined) {
    return;
  }
  const { document, selection } = editor;
  const around = (symbol: vscode.DocumentSymbol): boolean => symbol.range.contains(selection.active);
  const tunes = await vscode.commands.executeCommand<vscode.DocumentSymbol[] | undefined>(
    "vscode.executeDocumentSymbolProvider",
    document.uri,
  );
  const tune = tunes?.find(around);
  const part = /^part (.+)$/.exec(tune?.children.find(around)?.name ?? "")?.[1];
  if (tune === undefined || part === undefined) {
    void vscode.window.showInformationMessage("Put the cursor in a part to mend it.");
    return;
  }
  await vscode.commands.executeCommand("lope.mendPart", document.uri.toString(), tune.name, part);
}
