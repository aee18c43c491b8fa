// The language server: started, stopped, started again, and its state shown beside the language's name.

import * as vscode from "vscode";
import { LanguageClient } from "vscode-languageclient/node";

import { Missing, type Program, findProgram } from "./program";

/** Shows this extension's own page, which is there without a network. */
const HOW_TO_GET_IT = "How to get it";
const SET_PATH = "Set its path";

export class Server implements vscode.Disposable {
  /** The program that runs, or ran last. */
  program: Program | undefined;
  private client: LanguageClient | undefined;
  private readonly log = vscode.window.createOutputChannel("Lope", { log: true });
  private readonly status = vscode.languages.createLanguageStatusItem("lope.server", { language: "lope" });
  /** Starts and stops wait for one another, so that there are never two servers. */
  private turn: Promise<void> = Promise.resolve();

  constructor(private readonly readme: vscode.Uri) {
    this.status.name = "Lope server";
  }

  /** Starts the server, or starts it again with the settings of now. */
  restart(): Promise<void> {
    this.turn = this.turn.then(async () => {
      await this.stopClient();
      await this.startClient();
    });
    return this.turn;
  }

  stop(): Promise<void> {
    this.turn = this.turn.then(() => this.stopClient());
    return this.turn;
  }

  showLog(): void {
    this.log.show();
  }

  dispose(): void {
    this.status.dispose();
    this.log.dispose();
  }

  private async startClient(): Promise<void> {
    this.show("Lope", "starting", { busy: true });
    try {
      const configured = vscode.workspace.getConfiguration("lope").get("path", "").trim();
      this.program = await findProgram(configured);
      this.client = new LanguageClient(
        "lope",
        "Lope",
        { command: this.program.path, args: ["lsp"] },
        { documentSelector: [{ language: "lope" }], outputChannel: this.log },
      );
      await this.client.start();
      this.show(`Lope ${this.program.version}`, this.program.path);
    } catch (error) {
      this.program = undefined;
      const why = error instanceof Error ? error.message : String(error);
      this.log.error(why);
      this.show("Lope does not run", why, { failed: true });
      if (error instanceof Missing) {
        void this.sayHowToGetIt(why);
      }
    }
  }

  private async stopClient(): Promise<void> {
    const client = this.client;
    this.client = undefined;
    // A server that has failed to start, or does not leave in time, is no reason to keep a new one from starting.
    await client?.dispose().catch((error: unknown) => this.log.warn(String(error)));
  }

  private async sayHowToGetIt(why: string): Promise<void> {
    const chosen = await vscode.window.showErrorMessage(
      `Tunes are not checked: ${why}.`,
      HOW_TO_GET_IT,
      SET_PATH,
    );
    if (chosen === HOW_TO_GET_IT) {
      await vscode.commands.executeCommand("markdown.showPreview", this.readme);
    } else if (chosen === SET_PATH) {
      await vscode.commands.executeCommand("workbench.action.openSettings", "lope.path");
    }
  }

  private show(text: string, detail: string, is: { busy?: boolean; failed?: boolean } = {}): void {
    this.status.text = text;
    this.status.detail = detail;
    this.status.busy = is.busy ?? false;
    this.status.severity = is.failed
      ? vscode.LanguageStatusSeverity.Error
      : vscode.LanguageStatusSeverity.Information;
    this.status.command = is.failed
      ? { command: "lope.restart", title: "Try again" }
      : { command: "lope.showLog", title: "Show the log" };
  }
}
