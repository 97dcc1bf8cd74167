// The language server: finding, starting and stopping it, and what it is asked.
const vscode = require('vscode');
const { LanguageClient } = require('vscode-languageclient/node');
const program = require('./program');

// Settings of the extension itself, which the server does not know.
const own = ['path'];

class Server {
  constructor(context, log) {
    this.context = context;
    this.log = log;
    this.heard = new vscode.EventEmitter(); // { uri, version, tunes } after each analysis
    this.onAnalysed = this.heard.event;
    this.ended = new vscode.EventEmitter();
    this.onEnded = this.ended.event;
  }

  async start() {
    const { command, problem } = program.find(vscode.workspace.getConfiguration('fourfold').get('path', '').trim(), process.env.PATH);
    if (!command) {
      this.log.appendLine(problem);
      this.tellHowToGetIt(problem); // not awaited: the message stays until it is answered
      return;
    }
    const client = new LanguageClient('fourfold', 'Fourfold', { command, args: ['serve'] }, {
      documentSelector: [{ language: 'abc' }],
      outputChannel: this.log,
      middleware: { workspace: { configuration: withoutOwn } },
    });
    client.registerFeature({
      fillClientCapabilities(capabilities) {
        capabilities.experimental = { ...capabilities.experimental, fourfold: { ceiling: true } };
      },
      initialize() {},
      getState: () => ({ kind: 'static' }),
      clear() {},
      dispose() {},
    });
    client.onNotification('fourfold/ceiling', (told) => this.heard.fire(told));
    this.client = client;
    try {
      await client.start();
    } catch (err) {
      this.log.appendLine(String(err));
      vscode.window.showErrorMessage(`Fourfold could not start ${command}: ${err.message}`);
    }
  }

  async stop() {
    const ending = this.client;
    this.client = undefined;
    this.ended.fire();
    if (ending?.needsStop()) await ending.stop();
  }

  async restart() {
    await this.stop();
    await this.start();
  }

  running() {
    return this.client?.isRunning() ?? false;
  }

  // review gives what is to be drawn for a document, its ranges as offsets into
  // the text, or undefined when the text has changed meanwhile.
  async review(document) {
    const uri = this.client.code2ProtocolConverter.asUri(document.uri);
    const version = document.version;
    const found = await this.client.sendRequest('fourfold/review', { textDocument: { uri } });
    if (document.version !== version) return undefined;
    const place = ({ range, ...rest }) => ({
      ...rest,
      start: document.offsetAt(new vscode.Position(range.start.line, range.start.character)),
      end: document.offsetAt(new vscode.Position(range.end.line, range.end.character)),
    });
    return {
      text: document.getText(), tunes: found.tunes.map(place), notes: found.notes.map(place),
      placings: found.placings.map(place), settings: found.settings.map(place), findings: found.findings.map(place),
    };
  }

  // command has the server do something with a document, or with the folder.
  command(name, ...uris) {
    return this.client.sendRequest('workspace/executeCommand', {
      command: name, arguments: uris.map((uri) => this.client.code2ProtocolConverter.asUri(uri)),
    });
  }

  async tellHowToGetIt(problem) {
    const setting = 'Open the Setting';
    const help = 'How to Get It';
    const chosen = await vscode.window.showErrorMessage(
      `${problem} Build it with “go install ./cmd/fourfold” in the sources of Fourfold, and put it on the PATH or name it in the setting ` +
      'fourfold.path. Then run “Fourfold: Restart the Server”.', setting, help);
    if (chosen === setting) await vscode.commands.executeCommand('workbench.action.openSettings', 'fourfold.path');
    if (chosen === help) {
      await vscode.commands.executeCommand('markdown.showPreview', vscode.Uri.joinPath(this.context.extensionUri, 'README.md'));
    }
  }
}

async function withoutOwn(params, token, next) {
  const sections = await next(params, token);
  return Array.isArray(sections) ? sections.map((section) => {
    if (!section || typeof section !== 'object') return section;
    return Object.fromEntries(Object.entries(section).filter(([name]) => !own.includes(name)));
  }) : sections;
}

module.exports = { Server };
