import assert from 'node:assert/strict';
import test from 'node:test';
import { properties, read } from './settings.mjs';

test('package.json offers the settings of the schema; else run npm run settings', () => {
  assert.deepEqual(read('package.json').contributes.configuration.properties, properties(read('../settings.schema.json')));
});
