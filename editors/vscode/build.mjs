// Bundles the extension and its review page; the package then needs no
// node_modules.
import { copyFileSync } from 'node:fs';
import { build } from 'esbuild';

const common = { bundle: true, minify: true, logLevel: 'warning' };
await build({
  ...common, entryPoints: ['src/extension.js'], outfile: 'out/extension.js',
  platform: 'node', format: 'cjs', target: 'node18', external: ['vscode'],
});
await build({
  ...common, entryPoints: ['src/page.js'], outfile: 'out/page.js',
  platform: 'browser', format: 'iife', target: 'es2020',
});
copyFileSync('../../LICENSE', 'LICENSE');
