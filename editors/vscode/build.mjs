// Bundles the extension and its review page; the package then needs no
// node_modules. The licences of what is bundled go with it.
import { copyFileSync, existsSync, readFileSync, writeFileSync } from 'node:fs';
import { build } from 'esbuild';

const common = { bundle: true, minify: true, logLevel: 'warning', metafile: true, legalComments: 'none' };
const host = await build({
  ...common, entryPoints: ['src/extension.js'], outfile: 'out/extension.js',
  platform: 'node', format: 'cjs', target: 'node18', external: ['vscode'],
});
const page = await build({
  ...common, entryPoints: ['src/page/main.js'], outfile: 'out/page.js',
  platform: 'browser', format: 'iife', target: 'es2020',
});

const inputs = [host, page].flatMap(({ metafile }) => Object.keys(metafile.inputs));
const packages = new Set(inputs.map((name) => /^.*node_modules\/(?:@[^/]+\/)?[^/]+/.exec(name)?.[0]).filter(Boolean));
const licences = [...packages].sort().map((folder) => {
  const { name, version, license } = JSON.parse(readFileSync(`${folder}/package.json`, 'utf8'));
  const file = ['LICENSE', 'LICENSE.md', 'License.txt', 'LICENSE.txt', 'license'].map((f) => `${folder}/${f}`).find(existsSync);
  if (!file) throw new Error(`${name} ${version} has no licence file`);
  return `${name} ${version} (${license})\n\n${readFileSync(file, 'utf8').trim()}\n`;
});
writeFileSync('out/LICENCES.txt', licences.join('\n----\n\n'));
copyFileSync('../../LICENSE', 'LICENSE');
