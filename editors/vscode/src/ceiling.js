// The status item: the lowest tempo that a finding on the saved score names.
const path = require('node:path');
const vscode = require('vscode');
const program = require('./program');

class Ceiling {
  constructor(log) {
    this.log = log;
    this.item = vscode.window.createStatusBarItem(vscode.StatusBarAlignment.Right, 90);
    this.item.command = 'fourfold.review';
    const show = () => this.show(vscode.window.activeTextEditor);
    this.listeners = [vscode.window.onDidChangeActiveTextEditor(show), vscode.workspace.onDidSaveTextDocument(show)];
    show();
  }

  async show(editor) {
    const command = program.find();
    const document = editor?.document;
    if (!command || document?.languageId !== 'abc' || document.isUntitled) return this.item.hide();
    const file = document.uri.fsPath;
    try {
      const found = program.lines(await program.run(command, ['check', '--format', 'json', file], path.dirname(file)));
      if (vscode.window.activeTextEditor?.document !== document) return;
      const tightest = found.filter((f) => f.holdsUpTo > 0).sort((a, b) => a.holdsUpTo - b.holdsUpTo)[0];
      this.item.text = tightest ? `$(music) ≤ ♩ = ${Math.floor(tightest.holdsUpTo)}` : '$(music) no limit of tempo found';
      this.item.tooltip = tightest
        ? `Fourfold: the saved score holds up to ♩ = ${Math.floor(tightest.holdsUpTo)}; bar ${tightest.bar} is the tightest.`
        : 'Fourfold: no finding on the saved score names a tempo; there may be others.';
      this.item.show();
    } catch (err) {
      this.log.appendLine(err.message);
      this.item.hide();
    }
  }

  dispose() {
    for (const listener of this.listeners) listener.dispose();
    this.item.dispose();
  }
}

module.exports = { Ceiling };
