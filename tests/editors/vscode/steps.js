// What a player does in VS Code, step by step; runs inside it, beside the extension.

const fs = require("node:fs/promises");
const path = require("node:path");
const vscode = require("vscode");

/** The first answer of `ask` that is something: asked again and again, as an editor says nothing when it is ready. */
async function wait(what, ask) {
  for (const end = Date.now() + 30_000; Date.now() < end; ) {
    const answer = await ask();
    if (answer !== undefined && answer !== false) return answer;
    await new Promise((resolve) => setTimeout(resolve, 20));
  }
  throw new Error(`waited in vain for ${what}`);
}

/** What only this editor has: hints in the text, and the extension's commands and settings. */
async function own({ document, editor, found }) {
  const seen = {};
  const settings = vscode.workspace.getConfiguration("lope");
  const all = new vscode.Range(0, 0, document.lineCount, 0);
  const hints = () => vscode.commands.executeCommand("vscode.executeInlayHintProvider", document.uri, all);
  seen.hints = (await hints()).length;
  await settings.update("hints.counts", false);
  await wait("fewer hints", async () => (await hints()).length < seen.hints);

  await fs.writeFile(path.join(path.dirname(document.uri.fsPath), "lope.toml"), "");
  await wait("the finding to be back", () => found("off-strike").length === 1);
  const [{ range }] = found("off-strike");
  for (const command of ["lope.mendPartHere", "lope.mendOpenFile"]) {
    editor.selection = new vscode.Selection(range.start, range.start);
    await vscode.commands.executeCommand(command);
    await wait(`${command} to mend`, () => found("off-strike").length === 0);
    await vscode.commands.executeCommand("undo");
    await wait("the mend to be undone", () => found("off-strike").length === 1);
  }

  // A tune of the book that nobody has open is among the problems all the same.
  const other = vscode.Uri.file(path.join(path.dirname(document.uri.fsPath), "other.lope"));
  await fs.writeFile(other.fsPath, document.getText().replace(/^tune:.*/m, "tune: Low Tide at Six"));
  await wait("the other tune's findings", () => vscode.languages.getDiagnostics(other).length > 0);
  await vscode.commands.executeCommand("lope.checkBook");
  await fs.rm(other.fsPath);
  await wait("the other tune to be forgotten", () => vscode.languages.getDiagnostics(other).length === 0);

  await vscode.commands.executeCommand("lope.showRule", "off-strike");
  seen.page = vscode.window.activeTextEditor.document.getText();
  await vscode.commands.executeCommand("workbench.action.closeActiveEditor");

  await vscode.window.showTextDocument(document);
  seen.sheet = await sheet();

  // A program that is not there takes its findings along; one that is brings them back.
  await settings.update("path", "/nowhere/lope");
  await wait("no server", () => found("off-strike").length === 0);
  await settings.update("path", undefined);
  await wait("a server", () => found("off-strike").length === 1);
  return seen;
}

/** Opens the panel of the tune's sheet, asks for it once more, and closes it: how many there were. */
async function sheet() {
  const panels = () => vscode.window.tabGroups.all.flatMap(({ tabs }) => tabs).filter(({ label }) => label.endsWith(": sheet"));
  await vscode.commands.executeCommand("lope.viewBeside");
  await wait("the panel", () => panels().length > 0);
  await vscode.commands.executeCommand("lope.viewBeside");
  const count = panels().length;
  await vscode.window.tabGroups.close(panels());
  await wait("the panel to close", () => panels().length === 0);
  return count;
}

exports.run = async () => {
  const seen = {};
  const tune = vscode.Uri.file(process.env.LOPE_TUNE);
  const editor = await vscode.window.showTextDocument(await vscode.workspace.openTextDocument(tune));
  const { document } = editor;
  const lines = () => document.getText().split("\n");
  const found = (rule) =>
    vscode.languages
      .getDiagnostics(tune)
      .filter(({ code }) => (typeof code === "object" ? code.value : code) === rule)
      .sort((a, b) => a.range.start.compareTo(b.range.start));
  const ask = (command, ...args) => vscode.commands.executeCommand(command, tune, ...args);
  const put = (range, text) => editor.edit((edit) => edit.replace(range, text));

  const [finding] = await wait("a finding", () => found("off-strike").length > 0 && found("off-strike"));
  const { start } = finding.range;
  seen.finding = { line: start.line, message: finding.message, count: found("off-strike").length };

  const hovers = await ask("vscode.executeHoverProvider", start);
  seen.hover = hovers.flatMap(({ contents }) => contents.map(({ value }) => value)).join("\n");

  const fixes = await ask("vscode.executeCodeActionProvider", finding.range, "quickfix");
  await vscode.workspace.applyEdit(fixes.find(({ isPreferred }) => isPreferred).edit);
  seen.mended = lines()[start.line];
  await wait("the finding to go", () => found("off-strike").length < seen.finding.count);
  seen.count_mended = found("off-strike").length;

  await put(document.lineAt(start.line).range, "| @");
  const { items } = await ask("vscode.executeCompletionItemProvider", new vscode.Position(start.line, 3));
  seen.completions = items.map(({ label }) => (typeof label === "object" ? label.label : label));

  await put(document.lineAt(start.line).range, seen.mended.replace(/\s+/g, " "));
  await vscode.commands.executeCommand("lope.tidy");
  seen.formatted = lines()[start.line];

  const call = document.positionAt(document.getText().indexOf("@turn") + 1);
  const renaming = await ask("vscode.executeDocumentRenameProvider", call, "landing");
  await vscode.workspace.applyEdit(renaming);
  seen.renamed = lines().filter((line) => /turn|landing/.test(line));

  await fs.writeFile(path.join(path.dirname(tune.fsPath), "lope.toml"), '[rules]\noff-strike = "off"\n');
  await wait("the finding to be off", () => found("off-strike").length === 0);
  seen.count_configured = found("off-strike").length;

  seen.own = await own({ document, editor, found });

  await document.save();
  await vscode.commands.executeCommand("workbench.action.closeActiveEditor");
  await vscode.commands.executeCommand("lope.restart");
  seen.closed = true;
  await fs.writeFile(process.env.LOPE_SEEN, JSON.stringify(seen));
};
