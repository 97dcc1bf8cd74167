// The review beside the score: the engraved music with what the program says
// about the saved file. The page is drawn by page.js.
const path = require('node:path');
const vscode = require('vscode');
const program = require('./program');

class Review {
  constructor(context, log) {
    this.root = context.extensionUri;
    this.log = log;
    this.listeners = [
      vscode.workspace.onDidSaveTextDocument((d) => d === this.document && this.draw()),
      vscode.window.onDidChangeTextEditorSelection((e) => this.follow(e.textEditor)),
    ];
  }

  async open(editor) {
    if (editor?.document.languageId !== 'abc') return;
    this.document = editor.document;
    if (!this.panel) {
      this.panel = vscode.window.createWebviewPanel('fourfold.review', 'Review', { viewColumn: vscode.ViewColumn.Beside, preserveFocus: true },
        { enableScripts: true, localResourceRoots: [vscode.Uri.joinPath(this.root, 'out'), vscode.Uri.joinPath(this.root, 'media')] });
      this.panel.onDidDispose(() => { this.panel = undefined; });
      this.panel.webview.onDidReceiveMessage((m) => (m.ready ? this.draw() : this.reveal(m.offset)));
      this.panel.webview.html = this.page();
    } else {
      await this.draw();
    }
  }

  page() {
    const at = (...parts) => this.panel.webview.asWebviewUri(vscode.Uri.joinPath(this.root, ...parts));
    const source = this.panel.webview.cspSource;
    return `<!doctype html><html lang="en"><head><meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src ${source}; style-src ${source} 'unsafe-inline'">
<link rel="stylesheet" href="${at('media', 'page.css')}"></head>
<body><p id="state"></p><div id="pedals"></div><div id="score"></div><script src="${at('out', 'page.js')}"></script></body></html>`;
  }

  async draw() {
    const command = program.find();
    const document = this.document;
    if (!this.panel || !command) return;
    const file = document.uri.fsPath;
    const ask = async (what) => program.lines(await program.run(command, [what, '--format', 'json', file], path.dirname(file)));
    try {
      const [findings, hands, pedals] = [await ask('check'), await ask('hands'), await ask('pedals')];
      const text = document.getText();
      for (const f of findings) {
        f.start = this.offset(f.line, f.column);
        f.end = this.offset(f.endLine, f.endColumn);
      }
      this.panel?.webview.postMessage({ text, findings, hands, pedals });
    } catch (err) {
      this.log.appendLine(err.message);
      this.panel?.webview.postMessage({ failed: err.message });
    }
  }

  // offset turns a line and column of the program, which counts characters from
  // 1, into an offset in UTF-16 units.
  offset(line, column) {
    const text = this.document.lineAt(Math.min(line, this.document.lineCount) - 1).text;
    const before = Array.from(text).slice(0, column - 1).join('').length;
    return this.document.offsetAt(new vscode.Position(line - 1, before));
  }

  async reveal(offset) {
    const editor = await vscode.window.showTextDocument(this.document, vscode.ViewColumn.One);
    const place = this.document.positionAt(offset);
    editor.selection = new vscode.Selection(place, place);
    editor.revealRange(editor.selection, vscode.TextEditorRevealType.InCenterIfOutsideViewport);
  }

  follow(editor) {
    if (editor.document === this.document) {
      this.panel?.webview.postMessage({ cursor: this.document.offsetAt(editor.selection.active) });
    }
  }

  dispose() {
    for (const listener of this.listeners) listener.dispose();
    this.panel?.dispose();
  }
}

module.exports = { Review };
