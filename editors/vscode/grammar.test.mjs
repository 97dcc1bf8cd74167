// The grammar, read by the engine that VS Code reads it with: pieces of notation
// one by one, then every score of testdata against what abcjs reads in it.
import assert from 'node:assert/strict';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import test from 'node:test';
import { fileURLToPath } from 'node:url';
import abcjs from 'abcjs';
import oniguruma from 'vscode-oniguruma';
import textmate from 'vscode-textmate';

const here = fileURLToPath(new URL('.', import.meta.url));
const file = join(here, 'syntaxes/abc.tmLanguage.json');
await oniguruma.loadWASM(readFileSync(join(here, 'node_modules/vscode-oniguruma/release/onig.wasm')));
const registry = new textmate.Registry({
  onigLib: Promise.resolve({ createOnigScanner: (s) => new oniguruma.OnigScanner(s), createOnigString: (s) => new oniguruma.OnigString(s) }),
  loadGrammar: async () => textmate.parseRawGrammar(readFileSync(file, 'utf8'), file),
});
const grammar = await registry.loadGrammar('source.abc');

// tokens gives [text, innermost scope] of each token of a text, line by line.
function tokens(text) {
  let state = textmate.INITIAL;
  return text.split('\n').map((line) => {
    const read = grammar.tokenizeLine(line, state);
    state = read.ruleStack;
    return read.tokens.map((t) => [line.slice(t.startIndex, t.endIndex), t.scopes.at(-1).replace(/\.abc$/, ''), t.startIndex]);
  });
}

const pieces = [
  ['%abc-2.1', [['%abc-2.1', 'comment.line.percentage']]],
  ['%%score {RH LH}', [['%%', 'keyword.control.directive'], ['score', 'keyword.control.directive'], [' {RH LH}', 'string.unquoted.directive']]],
  ['T:Ferry % at', [['T:', 'keyword.other.field'], ['Ferry ', 'entity.name.section.title'], ['% at', 'comment.line.percentage']]],
  ['w:la-la', [['w:', 'keyword.other.field'], ['la-la', 'string.unquoted.lyrics']]],
  ['^^f4', [['^^', 'storage.modifier.accidental'], ['f', 'variable.other.note'], ['4', 'constant.numeric.length']]],
  ["c'/2", [["c'", 'variable.other.note'], ['/2', 'constant.numeric.length']]],
  ['z4', [['z', 'constant.language.rest'], ['4', 'constant.numeric.length']]],
  ['[FA]8', [['[', 'punctuation.section.chord'], ['F', 'variable.other.note'], ['A', 'variable.other.note'],
    [']', 'punctuation.section.chord'], ['8', 'constant.numeric.length']]],
  ['[K:Eb]E', [['[K:', 'keyword.other.field'], ['Eb', 'string.unquoted.field'], [']', 'keyword.other.field'], ['E', 'variable.other.note']]],
  ['[r:é ♯ 🎵]f', [['[r:é ♯ 🎵]', 'comment.block.remark'], ['f', 'variable.other.note']]],
  ['"Am7"A', [['"Am7"', 'string.quoted.double'], ['A', 'variable.other.note']]],
  ['!arpeggio!E', [['!arpeggio!', 'support.function.decoration'], ['E', 'variable.other.note']]],
  ['!>!E', [['!>!', 'support.function.decoration'], ['E', 'variable.other.note']]],
  ['A|:B', [['A', 'variable.other.note'], ['|:', 'keyword.operator.bar'], ['B', 'variable.other.note']]],
  ['A|]', [['A', 'variable.other.note'], ['|]', 'keyword.operator.bar']]],
  ['|1A:|2B', [['|1', 'keyword.operator.bar'], ['A', 'variable.other.note'], [':|2', 'keyword.operator.bar'], ['B', 'variable.other.note']]],
  ['(3:2:3abc', [['(3:2:3', 'constant.numeric.tuplet'], ['a', 'variable.other.note'], ['b', 'variable.other.note'], ['c', 'variable.other.note']]],
  ['{/g}a', [['{/', 'punctuation.section.grace'], ['g', 'variable.other.note'], ['}', 'punctuation.section.grace'], ['a', 'variable.other.note']]],
  ['A>B-B', [['A', 'variable.other.note'], ['>', 'keyword.operator.rhythm'], ['B', 'variable.other.note'], ['-', 'keyword.operator.rhythm'], ['B', 'variable.other.note']]],
  ['A&B', [['A', 'variable.other.note'], ['&', 'keyword.operator.overlay'], ['B', 'variable.other.note']]],
];
for (const [text, want] of pieces) {
  test(`the grammar reads ${text}`, () => assert.deepEqual(tokens(text)[0].map(([t, s]) => [t, s]), want));
}

test('text between %%begintext and %%endtext is no music', () => {
  assert.deepEqual(tokens('%%begintext\nA bad cab\n%%endtext\nA').map((line) => line[0][1]),
    ['keyword.control.directive', 'string.unquoted.text', 'keyword.control.directive', 'variable.other.note']);
});

function scores(folder) {
  return readdirSync(folder, { recursive: true }).filter((name) => name.endsWith('.abc')).map((name) => join(folder, name)).sort();
}

test('every note that the engraver reads in testdata is a note to the grammar', () => {
  let notes = 0;
  for (const score of scores(join(here, '../../testdata'))) {
    const text = readFileSync(score, 'utf8').replace(/\r\n?/g, '\n');
    const kinds = new Map(); // offset → scope of each token that starts there
    let offset = 0;
    for (const [i, line] of tokens(text).entries()) {
      for (const [, scope, start] of line) kinds.set(offset + start, scope);
      offset += text.split('\n')[i].length + 1;
    }
    for (const sign of signs(text)) {
      const before = text.slice(text.lastIndexOf('\n', sign.start) + 1, sign.end);
      if (/^[A-Za-z+]:|\[[A-Za-z]:[^\]]*$/.test(before)) continue; // a field that abcjs does not know, and takes for music
      const here = [...kinds].filter(([at, scope]) => at >= sign.start && at < sign.end && scope === 'variable.other.note');
      assert.ok(here.length >= sign.pitches, `${score}: ${JSON.stringify(text.slice(sign.start, sign.end))}`);
      notes += sign.pitches;
    }
  }
  assert.ok(notes > 1000, `${notes} notes`);
});

// signs are the notes and chords that abcjs reads.
function signs(text) {
  return abcjs.parseOnly(text).flatMap((tune) => tune.lines).flatMap((line) => line.staff ?? []).flatMap((staff) => staff.voices).flat()
    .filter((e) => e.el_type === 'note' && !e.rest)
    .map((e) => ({ start: e.startChar, end: e.endChar, pitches: e.pitches.length }));
}
