// The pages of the rules, as the program prints them.

import * as vscode from "vscode";

import { run } from "./program";
import type { Server } from "./server";

const SCHEME = "lope-rule";

/** What `lope rule --schema` says, as far as it is read here. */
interface Schema {
  properties: { rules: { properties: Record<string, { description?: string }> } };
}

/** Lets `lope-rule:NAME` be opened as a text that cannot be changed. */
export function providePages(server: Server): vscode.Disposable {
  return vscode.workspace.registerTextDocumentContentProvider(SCHEME, {
    provideTextDocumentContent: (uri) => ask(server, uri.path),
  });
}

/** Shows the page of `rule`, or of the one the player chooses; those found at the cursor are offered first. */
export async function showRule(server: Server, rule?: string): Promise<void> {
  const name = rule ?? (await choose(server));
  if (name === undefined) {
    return;
  }
  const page = await vscode.workspace.openTextDocument(vscode.Uri.from({ scheme: SCHEME, path: name }));
  await vscode.window.showTextDocument(page, { viewColumn: vscode.ViewColumn.Beside, preview: true });
}

async function choose(server: Server): Promise<string | undefined> {
  const schema = JSON.parse(await ask(server, "--schema")) as Schema;
  const here = new Set(rulesAtCursor());
  const item = ([label, { description }]: [string, { description?: string }]): vscode.QuickPickItem => ({
    label,
    description: here.has(label) ? "found here" : "",
    detail: description ?? "",
  });
  const rules = Object.entries(schema.properties.rules.properties).map(item);
  rules.sort((a, b) => Number(here.has(b.label)) - Number(here.has(a.label)));
  const chosen = await vscode.window.showQuickPick(rules, { placeHolder: "the rule to read about" });
  return chosen?.label;
}

function rulesAtCursor(): string[] {
  const editor = vscode.window.activeTextEditor;
  if (editor === undefined) {
    return [];
  }
  const line = editor.selection.active.line;
  return vscode.languages
    .getDiagnostics(editor.document.uri)
    .filter(({ source, range }) => source === "lope" && range.start.line <= line && line <= range.end.line)
    .map(({ code }) => String(typeof code === "object" ? code.value : code));
}

function ask(server: Server, question: string): Promise<string> {
  if (server.program === undefined) {
    throw new Error("the lope program does not run");
  }
  return run(server.program.path, "rule", question);
}
