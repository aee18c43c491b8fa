// Mends in bulk: only those that keep every pitch and every time.

import * as vscode from "vscode";

const FIX_ALL = vscode.CodeActionKind.SourceFixAll.append("lope").value;

/** Makes every safe mend in the open file. */
export async function mendFile(): Promise<void> {
  const document = vscode.window.activeTextEditor?.document;
  if (document !== undefined) {
    await mend(document, new vscode.Range(0, 0, document.lineCount, 0));
  }
}

/** Makes every safe mend in the part or phrase at the cursor; above a tune's first part, in the whole tune. */
export async function mendPart(): Promise<void> {
  const editor = vscode.window.activeTextEditor;
  if (editor === undefined) {
    return;
  }
  const within = await outlined(editor.document, editor.selection.active);
  if (within !== undefined) {
    await mend(editor.document, within);
  }
}

async function mend(document: vscode.TextDocument, within: vscode.Range): Promise<void> {
  // The edits are as small as they can be, so each stands in the part that it mends.
  const edits = (await allEdits(document)).filter(({ range }) => within.contains(range));
  if (edits.length === 0) {
    vscode.window.setStatusBarMessage("Lope: nothing to mend that keeps the music", 5000);
    return;
  }
  const edit = new vscode.WorkspaceEdit();
  edit.set(document.uri, edits);
  await vscode.workspace.applyEdit(edit);
}

async function allEdits(document: vscode.TextDocument): Promise<vscode.TextEdit[]> {
  const actions = await vscode.commands.executeCommand<vscode.CodeAction[]>(
    "vscode.executeCodeActionProvider",
    document.uri,
    new vscode.Range(0, 0, document.lineCount, 0),
    FIX_ALL,
  );
  return actions.find(({ kind }) => kind?.value === FIX_ALL)?.edit?.get(document.uri) ?? [];
}

/** What the outline has at `position`: a part or phrase, or a tune; nothing above the first tune. */
async function outlined(
  document: vscode.TextDocument,
  position: vscode.Position,
): Promise<vscode.Range | undefined> {
  const tunes = await vscode.commands.executeCommand<vscode.DocumentSymbol[] | undefined>(
    "vscode.executeDocumentSymbolProvider",
    document.uri,
  );
  const tune = tunes?.find(({ range }) => range.contains(position));
  const part = tune?.children.find(({ range }) => range.contains(position));
  return (part ?? tune)?.range;
}
