// The review beside the score: the engraved music with what the server says about
// it. This is the editor's side; page/ draws.
const vscode = require('vscode');

class Review {
  constructor(context, server, log) {
    this.root = context.extensionUri;
    this.server = server;
    this.log = log;
    this.listeners = [
      server.onAnalysed(({ uri }) => this.document?.uri.toString() === vscode.Uri.parse(uri).toString() && this.draw()),
      server.onEnded(() => this.draw()),
      vscode.window.onDidChangeTextEditorSelection((e) => this.follow(e.textEditor)),
      vscode.window.onDidChangeActiveTextEditor((e) => this.change(e)),
    ];
  }

  async open(editor) {
    if (editor?.document.languageId !== 'abc') return;
    this.document = editor.document;
    if (this.panel) {
      this.panel.reveal(undefined, true);
      await this.draw();
      return;
    }
    this.panel = vscode.window.createWebviewPanel('fourfold.review', 'Review',
      { viewColumn: vscode.ViewColumn.Beside, preserveFocus: true },
      { enableScripts: true, localResourceRoots: [vscode.Uri.joinPath(this.root, 'out'), vscode.Uri.joinPath(this.root, 'media')] });
    this.panel.onDidDispose(() => { this.panel = undefined; });
    this.panel.onDidChangeViewState(() => this.panel?.visible && this.draw());
    this.panel.webview.onDidReceiveMessage((m) => (m.ready ? this.draw() : this.reveal(m)));
    this.panel.webview.html = this.page();
  }

  page() {
    const at = (...parts) => this.panel.webview.asWebviewUri(vscode.Uri.joinPath(this.root, ...parts));
    const source = this.panel.webview.cspSource;
    // Nothing is fetched: scripts and styles come with the extension. The
    // engraver writes style attributes, hence 'unsafe-inline' for styles alone.
    return `<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Review</title>
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src ${source}; style-src ${source} 'unsafe-inline'">
<link rel="stylesheet" href="${at('media', 'page.css')}"></head>
<body><p id="state" role="status">Waiting for the server…</p><main id="score"></main><script src="${at('out', 'page.js')}"></script></body></html>`;
  }

  // change goes on to another score that the user turns to.
  async change(editor) {
    if (!this.panel || editor?.document.languageId !== 'abc' || editor.document === this.document) return;
    this.document = editor.document;
    await this.draw();
  }

  async draw() {
    const document = this.document;
    if (!this.panel?.visible || !document) return;
    if (!this.server.running()) {
      this.panel.webview.postMessage({ failed: 'The server is not running. “Fourfold: Restart the Server” starts it.' });
      return;
    }
    try {
      const data = await this.server.review(document);
      if (!data || document !== this.document) return; // a newer one is on its way
      this.panel?.webview.postMessage(data);
      this.panel?.webview.postMessage({ cursor: this.cursor() });
    } catch (err) {
      if (err.code === -32801) return; // the text has changed: the next analysis asks again
      this.log.appendLine(`review: ${err.message}`);
      this.panel?.webview.postMessage({ failed: err.message });
    }
  }

  cursor() {
    const editor = vscode.window.visibleTextEditors.find((e) => e.document === this.document);
    return editor ? this.document.offsetAt(editor.selection.active) : 0;
  }

  // reveal puts the cursor where something was clicked. Nothing is selected, so
  // that a key typed next replaces nothing.
  async reveal({ start }) {
    const shown = vscode.window.visibleTextEditors.find((e) => e.document === this.document);
    const editor = await vscode.window.showTextDocument(this.document, shown?.viewColumn ?? vscode.ViewColumn.One);
    const place = this.document.positionAt(start);
    editor.selection = new vscode.Selection(place, place);
    editor.revealRange(editor.selection, vscode.TextEditorRevealType.InCenterIfOutsideViewport);
  }

  follow(editor) {
    if (editor.document === this.document) this.panel?.webview.postMessage({ cursor: this.cursor() });
  }

  dispose() {
    for (const listener of this.listeners) listener.dispose();
    this.panel?.dispose();
  }
}

module.exports = { Review };
