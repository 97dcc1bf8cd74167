// Writes the settings that the server knows into package.json, so that VS Code
// offers them: one for each name of the schema, a table as one setting that is an
// object. None has a value until the user gives one: null leaves it to the
// program's own default, or to .fourfold.toml.
import { readFileSync, writeFileSync } from 'node:fs';

const here = new URL('.', import.meta.url);

// Settings of the extension itself; src/server.js keeps them from the server.
const own = {
  'fourfold.path': {
    type: 'string',
    default: '',
    scope: 'machine-overridable',
    description: 'Where the fourfold program is. Empty: the one on the PATH.',
  },
};

export function properties(schema) {
  const found = { ...own };
  for (const [name, shape] of Object.entries(schema.properties)) {
    found['fourfold.' + name] = { default: null, ...shape };
  }
  return found;
}

export function read(name) {
  return JSON.parse(readFileSync(new URL(name, here), 'utf8'));
}

if (import.meta.url === 'file://' + process.argv[1]) {
  const manifest = read('package.json');
  manifest.contributes.configuration.properties = properties(read('../settings.schema.json'));
  writeFileSync(new URL('package.json', here), JSON.stringify(manifest, null, 2) + '\n');
}
