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

  await document.save();
  await vscode.commands.executeCommand("workbench.action.closeActiveEditor");
  await vscode.commands.executeCommand("lope.restart");
  seen.closed = true;
  await fs.writeFile(process.env.LOPE_SEEN, JSON.stringify(seen));
};
