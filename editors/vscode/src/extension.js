// The Fourfold extension: the client of the server, and the commands.
const vscode = require('vscode');
const { Server } = require('./server');
const { Review } = require('./review');
const { Ceiling } = require('./ceiling');

let server;

async function activate(context) {
  const log = vscode.window.createOutputChannel('Fourfold');
  server = new Server(context, log);
  const review = new Review(context, server, log);
  const on = (name, action) => context.subscriptions.push(vscode.commands.registerCommand('fourfold.' + name, action));
  on('restart', () => server.restart());
  on('showLog', () => log.show());
  on('review', () => review.open(vscode.window.activeTextEditor));
  on('pedalPlan', () => withServer(() => writePedalPlan(vscode.window.activeTextEditor)));
  on('checkFolder', () => withServer(checkFolder));
  context.subscriptions.push(log, review, new Ceiling(server),
    vscode.workspace.onDidChangeConfiguration((e) => e.affectsConfiguration('fourfold.path') && server.restart()));
  await server.start();
}

function deactivate() {
  return server?.stop();
}

// withServer does something that needs the server, and tells what went wrong.
async function withServer(action) {
  if (!server.running()) await server.restart();
  if (!server.running()) return;
  try {
    await action();
  } catch (err) {
    vscode.window.showErrorMessage(`Fourfold: ${err.message}`);
  }
}

async function writePedalPlan(editor) {
  if (editor?.document.languageId !== 'abc') return;
  await server.command('fourfold.writePedalPlan', editor.document.uri);
}

async function checkFolder() {
  if (!vscode.workspace.workspaceFolders) {
    vscode.window.showInformationMessage('Fourfold: no folder is open. “File: Open Folder” opens one.');
    return;
  }
  await server.command('fourfold.checkWorkspace');
  await vscode.commands.executeCommand('workbench.actions.view.problems');
}

module.exports = { activate, deactivate };
