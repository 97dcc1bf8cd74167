// What a composer does with a score in VS Code. It is run by ../test.sh;
// ../../common.sh tells the variables.
import { appendFileSync, readFileSync, renameSync } from 'node:fs';
import { basename, dirname } from 'node:path';
import { Workbench, pause } from './driver.mjs';

const { FOURFOLD_DEMO: demo, FOURFOLD_MARKED: figure, FOURFOLD_FIX: fix, FOURFOLD_SCRATCH: scratch } = process.env;
const line = Number(process.env.FOURFOLD_LINE);
const column = Number(process.env.FOURFOLD_COLUMN);
const characters = '[r:é ♯ 🎵]';
const report = (text) => appendFileSync(process.env.FOURFOLD_REPORT, text + '\n');

let bench;
async function check(condition, what) {
  await bench.await(condition, what);
  report('ok: ' + what);
}

const turn = (at) => async () => (await bench.problems()).some((row) => row.includes('turns back') && row.includes(`at line ${line} and character ${at}.`));
const saved = () => readFileSync(demo, 'utf8');
const changed = (start) => saved() !== '' && saved() !== start; // empty while it is being written
const letters = (text) => [...(text.split('\n')[line - 1] ?? '')].sort().join('');

// undone takes back one step after the other until the file is as it was.
const undone = (start) => async () => {
  if (saved() === start) return true;
  await bench.keys('Control+1', 'Control+Z', 'Control+S');
  await pause(500);
  return saved() === start;
};

async function findings() {
  const start = await bench.open(basename(demo));
  await bench.page.waitForSelector('.squiggly-warning, .squiggly-error');
  report(`first finding: ${Date.now() - start} ms`);
  await check(() => bench.status(/^ABC$/), 'the score is an ABC file');
  await bench.keys('Control+Shift+M');
  await check(turn(column), `the figure that turns back is at line ${line}, column ${column}`);
  await bench.goTo(line, 1);
  await bench.type(characters);
  await check(turn(column + characters.length), 'it moves with é ♯ 🎵');
}

async function card() {
  await bench.goTo(line, column + characters.length);
  await bench.keys('Control+K', 'Control+I');
  for (const word of ['hand', 'finger', 'Order', 'Next', 'holds up to']) {
    await check(() => bench.page.locator('.monaco-hover:not(.hidden)', { hasText: word }).count(), `the card says ${word}`);
  }
  await bench.picture('card-light');
  await bench.keys('Escape');
}

async function hints() {
  await check(async () => /[¹²³⁴]/.test(await bench.lines()), 'inlay hints show the fingers');
  await check(() => bench.page.locator('.codelens-decoration').count(), 'a code lens stands over the tune');
  await check(() => bench.status(/up to ♩ = \d+ \(♩ = \d+ asked\)/), 'the status bar says up to which tempo the tune holds');
}

async function accept() {
  const start = saved();
  await bench.goTo(line, column + characters.length);
  await bench.keys('Control+.');
  const rows = bench.page.locator('.action-widget .monaco-list-row.action');
  await check(() => rows.filter({ hasText: fix }).count(), 'the fix is offered');
  await bench.picture('fixes-light');
  await check(async () => {
    const focused = bench.page.locator('.action-widget .monaco-list-row.action.focused');
    if ((await focused.textContent({ timeout: 1000 }).catch(() => '')).includes(fix)) return true;
    await bench.keys('ArrowDown');
    return false;
  }, 'and can be chosen');
  await bench.keys('Enter');
  await check(async () => !(await turn(column + characters.length)()), 'the finding goes');
  await bench.keys('Control+S');
  await check(() => changed(start), 'it changes the score');
  await check(() => saved().split('\n')[line - 1]?.startsWith(characters), 'the emoji stands where it stood');
  await check(() => letters(saved()) === letters(start.split('\n').map((l, i) => (i === line - 1 ? characters + l : l)).join('\n')), 'the line has the same notes in another order');
  await check(undone(start), 'undo takes all back');
  await check(turn(column), 'the finding comes back');
}

async function review() {
  await bench.keys('Control+1');
  await bench.run('Fourfold: Open the Review beside the Score');
  const frame = await bench.await(() => bench.frame(), 'the review opens');
  await bench.keys('Control+B', 'Control+J'); // more room: no side bar, no panel
  for (const [kind, what] of [['.bracket', 'placings are bracketed'], ['.flag', 'flagged notes are marked'], ['.pedal', 'the pedals are drawn'], ['.findings li', 'the remarks are listed']]) {
    await check(() => frame.locator(kind).count(), `the review: ${what}`);
  }
  await bench.goTo(line, column);
  await check(() => frame.locator('rect.cursor').count(), 'the review frames the note at the cursor');
  const framed = () => frame.locator('rect.cursor').evaluate((r) => r.getAttribute('x') + ' ' + r.getAttribute('y'));
  const before = await framed();
  await bench.goTo(line + 1, 12);
  await check(async () => await framed() !== before, 'and goes with it');
  await bench.picture('review-light');
  await frame.locator('.findings button', { hasText: 'turns back' }).first().click();
  await check(async () => JSON.stringify(await bench.cursor()) === JSON.stringify({ line, column }), 'a click on a remark goes to its notes');
  await bench.goTo(1, 1);
  await frame.locator('.abcjs-notehead').nth(1).click({ force: true });
  await check(async () => (await bench.cursor())?.line === line, 'a click on a note goes to the note');
  await bench.goTo(line, 1);
  const start = saved();
  const notes = await frame.locator('.abcjs-note').count();
  await bench.type('f4 ');
  await check(async () => await frame.locator('.abcjs-note').count() === notes + 1, 'the review follows what is typed');
  await bench.keys('Control+S');
  await bench.await(() => changed(start), 'the note is saved');
  await check(undone(start), 'and what is undone');
  await check(() => bench.outside.length === 0, `the review asked nothing of the network ${bench.outside}`.trim());
  await bench.page.emulateMedia({ colorScheme: 'dark' });
  await check(() => bench.page.locator('.monaco-workbench.vs-dark').count(), 'the theme is dark');
  await pause(1000);
  await bench.picture('review-dark');
  await bench.page.emulateMedia({ colorScheme: 'light' });
  await check(() => bench.page.locator('.monaco-workbench.vs').count(), 'and light again');
  await bench.keys('Control+1', 'Control+B', 'Control+Shift+M');
}

async function commands() {
  await bench.keys('Control+1');
  await bench.run('Fourfold: Write the Pedal Plan');
  const start = saved();
  await bench.keys('Control+1');
  await check(async () => { await bench.keys('Control+S'); return changed(start); }, 'the pedal plan is written into the score');
  await check(undone(start), 'and undone');
  await bench.run('Fourfold: Check the Folder');
  await check(() => bench.page.locator('.notification-list-item', { hasText: /scores checked/ }).count(), 'checking the folder says how many scores were checked');
  const filter = bench.page.locator('input[placeholder^="Filter (e.g. text"]'); // the panel draws only the rows that it shows
  await filter.fill('**/never-opened.abc');
  await check(async () => (await bench.problems()).some((r) => r.includes('never-opened.abc')), 'and lists what is in those that are not open');
  await filter.fill('**/ferry-at-dusk.abc');
  await bench.run('Fourfold: Show the Log');
  await check(() => bench.page.locator('.output-view, .output').count(), 'the log is shown');
  await bench.run('Fourfold: Restart the Server');
  await bench.keys('Control+Shift+M');
  await check(turn(column), 'the findings are there after a restart');
}

async function missing() {
  const program = `${scratch}/bin/fourfold`;
  await bench.run('Notifications: Clear All Notifications');
  renameSync(program, program + '.away');
  await bench.run('Fourfold: Restart the Server');
  await check(() => bench.page.locator('.notification-list-item', { hasText: 'it is not on the PATH' }).count(), 'a program that is missing is told, with what to do');
  await pause(1500); // until it has moved in
  await bench.picture('missing-light');
  renameSync(program + '.away', program);
  await bench.run('Fourfold: Restart the Server');
  await check(turn(column), 'and found when it is there');
}

try {
  bench = await Workbench.start(scratch, dirname(demo));
  await findings();
  await card();
  await hints();
  await accept();
  await review();
  await commands();
  await missing();
  await bench.stop();
  report('end');
} catch (err) {
  report(`FAILED: ${err.message.split('\n')[0]}`);
  await bench?.page?.screenshot({ path: `${scratch}/failed.png` }).catch(() => {});
  if (process.env.FOURFOLD_KEEP) await bench?.page?.screenshot({ path: process.env.FOURFOLD_KEEP }).catch(() => {});
  console.error(err.stack);
  await bench?.stop();
  process.exitCode = 1;
}
