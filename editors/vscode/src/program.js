// Finds the fourfold program.
const { accessSync, constants, statSync } = require('node:fs');
const path = require('node:path');

function runs(file) {
  try {
    accessSync(file, constants.X_OK);
    return statSync(file).isFile();
  } catch {
    return false;
  }
}

// find gives { command } or { problem }, a sentence for the user. set is the
// setting fourfold.path, searched the value of PATH.
function find(set, searched) {
  if (set) {
    return runs(set) ? { command: set }
      : { problem: `The setting fourfold.path names “${set}”, which is no program that can be run here.` };
  }
  const name = process.platform === 'win32' ? 'fourfold.exe' : 'fourfold';
  const found = (searched ?? '').split(path.delimiter).filter(Boolean).map((folder) => path.join(folder, name)).find(runs);
  return found ? { command: found } : { problem: 'Fourfold needs the program “fourfold”, and it is not on the PATH.' };
}

module.exports = { find };
