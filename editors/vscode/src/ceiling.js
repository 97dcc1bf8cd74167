// The status item: up to which tempo the tune at the cursor holds.
const vscode = require('vscode');
const { say } = require('./ceilingtext');

class Ceiling {
  constructor(server) {
    this.told = new Map(); // uri → the tunes of the newest analysis
    this.item = vscode.window.createStatusBarItem('fourfold.ceiling', vscode.StatusBarAlignment.Right, 90);
    this.item.name = 'Fourfold: the tune’s tempo';
    this.item.command = 'fourfold.review';
    this.listeners = [
      server.onAnalysed(({ uri, tunes }) => {
        this.told.set(vscode.Uri.parse(uri).toString(), tunes);
        this.show();
      }),
      server.onEnded(() => {
        this.told.clear();
        this.show();
      }),
      vscode.workspace.onDidCloseTextDocument((d) => this.told.delete(d.uri.toString())),
      vscode.window.onDidChangeActiveTextEditor(() => this.show()),
      vscode.window.onDidChangeTextEditorSelection(() => this.show()),
    ];
  }

  show() {
    const editor = vscode.window.activeTextEditor;
    const tunes = editor && this.told.get(editor.document.uri.toString());
    const tune = tunes?.[tuneAt(editor)];
    if (!tune) return this.item.hide();
    const { text, tooltip } = say(tune);
    this.item.text = text;
    this.item.tooltip = tooltip;
    this.item.show();
  }

  dispose() {
    for (const listener of this.listeners) listener.dispose();
    this.item.dispose();
  }
}

// tuneAt counts the tunes that start up to the cursor; what stands before the
// first one goes with it.
function tuneAt(editor) {
  let tunes = 0;
  for (let line = 0; line <= editor.selection.active.line; line++) {
    if (/^X:/.test(editor.document.lineAt(line).text)) tunes++;
  }
  return Math.max(tunes - 1, 0);
}

module.exports = { Ceiling };
