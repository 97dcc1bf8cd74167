// The Fourfold extension: the client of the server, and the commands.
const path = require('node:path');
const vscode = require('vscode');
const { LanguageClient } = require('vscode-languageclient/node');
const program = require('./program');
const { Review } = require('./review');
const { Ceiling } = require('./ceiling');

let client;

async function activate(context) {
  const log = vscode.window.createOutputChannel('Fourfold');
  const review = new Review(context, log);
  const ceiling = new Ceiling(log);
  const on = (name, action) => context.subscriptions.push(vscode.commands.registerCommand('fourfold.' + name, action));
  on('restart', () => restart(log));
  on('showLog', () => log.show());
  on('review', () => review.open(vscode.window.activeTextEditor));
  on('pedalPlan', () => writePedalPlan(vscode.window.activeTextEditor));
  on('checkFolder', () => checkFolder(log));
  context.subscriptions.push(log, review, ceiling,
    vscode.workspace.onDidChangeConfiguration((e) => e.affectsConfiguration('fourfold.path') && restart(log)));
  await start(log);
}

async function start(log) {
  const command = program.find();
  if (!command) return tellHowToGetIt();
  client = new LanguageClient('fourfold', 'Fourfold',
    { command, args: ['serve'] },
    { documentSelector: [{ language: 'abc' }], outputChannel: log, synchronize: { configurationSection: 'fourfold' } });
  await client.start();
}

async function restart(log) {
  await deactivate();
  await start(log);
}

async function deactivate() {
  const ending = client;
  client = undefined;
  await ending?.stop();
}

async function tellHowToGetIt() {
  const chosen = await vscode.window.showErrorMessage(
    'Fourfold needs its program, which is not on the PATH. Build it with "go build -o fourfold ./cmd/fourfold" in the ' +
    'Fourfold sources, and put it on the PATH or name it in the setting fourfold.path. Then run "Fourfold: Restart the Server".',
    'Open the Setting');
  if (chosen) await vscode.commands.executeCommand('workbench.action.openSettings', 'fourfold.path');
}

// The program, or undefined after the user has been told.
function needed() {
  const command = program.find();
  if (!command) tellHowToGetIt();
  return command;
}

async function writePedalPlan(editor) {
  const command = editor && needed();
  if (!command) return;
  await editor.document.save();
  const file = editor.document.uri.fsPath;
  try {
    const content = await program.run(command, ['pedals', file], path.dirname(file));
    await vscode.window.showTextDocument(await vscode.workspace.openTextDocument({ content }), vscode.ViewColumn.Beside);
  } catch (err) {
    vscode.window.showErrorMessage(`The pedal plan could not be made: ${err.message}`);
  }
}

async function checkFolder(log) {
  const command = needed();
  if (!command) return;
  log.show();
  for (const folder of vscode.workspace.workspaceFolders ?? []) {
    const scores = await vscode.workspace.findFiles(new vscode.RelativePattern(folder, '**/*.abc'));
    if (scores.length === 0) {
      log.appendLine(`No .abc file in ${folder.name}.`);
      continue;
    }
    try {
      log.appendLine(await program.run(command, ['check', ...scores.map((s) => s.fsPath).sort()], folder.uri.fsPath));
    } catch (err) {
      log.appendLine(err.message);
    }
  }
}

module.exports = { activate, deactivate };
