import assert from 'node:assert/strict';
import { chmodSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { delimiter, join } from 'node:path';
import test from 'node:test';
import { find } from './src/program.js';
import { say } from './src/ceilingtext.js';

test('the program is found by the setting, then on the PATH', (t) => {
  const folder = mkdtempSync(join(tmpdir(), 'program'));
  t.after(() => rmSync(folder, { recursive: true }));
  const name = process.platform === 'win32' ? 'fourfold.exe' : 'fourfold';
  const file = join(folder, name);
  writeFileSync(file, '');
  chmodSync(file, 0o755);
  assert.deepEqual(find('', ['', join(folder, 'none'), folder].join(delimiter)), { command: file });
  assert.deepEqual(find(file, ''), { command: file });
  assert.match(find('', folder + 'x').problem, /not on the PATH/);
  assert.match(find('', undefined).problem, /not on the PATH/);
  assert.match(find(join(folder, 'other'), folder).problem, /fourfold\.path names/);
  assert.match(find(folder, '').problem, /no program/);
});

const player = { name: 'Harp', asked: '♩ = 132', holds: '♩ = 101', load: 1.31, assumed: false, text: 'Holds up to ♩ = 101' };
test('the status item says what is asked and what holds', () => {
  const tune = (...players) => ({ number: '1', title: 'Ferry', players });
  assert.equal(say(tune(player)).text, '$(warning) holds up to ♩ = 101 (♩ = 132 asked)');
  assert.equal(say(tune({ ...player, load: 0.9, holds: '♩ = 146' })).text, '$(check) holds up to ♩ = 146 (♩ = 132 asked)');
  assert.equal(say(tune({ ...player, assumed: true })).text, '$(warning) holds up to ♩ = 101 (♩ = 132 assumed)');
  assert.equal(say(tune({ ...player, holds: '', load: 0 })).text, '$(check) no limit of tempo');
  assert.equal(say(tune()).text, '$(music) no harp');
  assert.equal(say(tune({ ...player, load: 0.5, holds: '♩ = 264' }, player)).text, '$(warning) holds up to ♩ = 101 (♩ = 132 asked)');
  assert.match(say(tune(player)).tooltip, /^Ferry\nHarp: Holds up to ♩ = 101\n/);
  assert.match(say({ ...tune(player), title: '' }).tooltip, /^Tune 1\n/);
});
