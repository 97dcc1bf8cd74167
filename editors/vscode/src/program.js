// Finds and runs the fourfold program.
const { execFile } = require('node:child_process');
const { accessSync, constants, statSync } = require('node:fs');
const path = require('node:path');
const vscode = require('vscode');

function runs(file) {
  try {
    accessSync(file, constants.X_OK);
    return statSync(file).isFile();
  } catch {
    return false;
  }
}

// find gives the path of the program, or undefined.
function find() {
  const set = vscode.workspace.getConfiguration('fourfold').get('path', '').trim();
  if (set !== '') return runs(set) ? set : undefined;
  const name = process.platform === 'win32' ? 'fourfold.exe' : 'fourfold';
  return (process.env.PATH ?? '').split(path.delimiter).filter(Boolean)
    .map((folder) => path.join(folder, name)).find(runs);
}

// run gives what the program prints. check ends with 1 when it finds something,
// which is no failure.
function run(program, args, cwd) {
  return new Promise((resolve, reject) => {
    execFile(program, args, { cwd, maxBuffer: 64 << 20 }, (err, stdout, stderr) => {
      if (err && err.code !== 1) reject(new Error(stderr.trim() || err.message));
      else resolve(stdout);
    });
  });
}

// lines reads JSON lines.
function lines(text) {
  return text.split('\n').filter((line) => line.startsWith('{')).map((line) => JSON.parse(line));
}

module.exports = { find, run, lines };
