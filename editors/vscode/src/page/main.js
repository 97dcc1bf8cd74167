// The page of the review: engraves the score, draws on it what the server says,
// and keeps in step with the editor's cursor.
import { engrave, at } from './engraving.js';
import { bracket } from './brackets.js';
import { flag } from './flags.js';
import { pedals } from './pedals.js';
import { make } from './svg.js';

const editor = acquireVsCodeApi();
const score = document.getElementById('score');
const state = document.getElementById('state');
const clicked = ({ start, end }) => editor.postMessage({ start, end });
let signs = [];
let frame; // around the sign at the cursor
let newest; // what is to be drawn next, and the cursor
let cursor = 0;

function draw(data) {
  const kept = window.scrollY;
  const music = document.createElement('div');
  score.replaceChildren(music);
  const engraved = tryToEngrave(music, data.text);
  signs = engraved.signs;
  frame = undefined;
  bracket(data, signs, clicked);
  pedals(data, signs, clicked);
  const list = flag(data, signs, clicked);
  score.append(legend(), list);
  if (engraved.warnings.length > 0) score.append(passedOver(engraved.warnings));
  state.textContent = summary(data);
  window.scrollTo(0, kept);
}

// tryToEngrave goes without the music where the engraver stumbles over the text;
// the remarks are listed all the same.
function tryToEngrave(music, text) {
  try {
    return engrave(music, text, clicked);
  } catch (err) {
    music.replaceChildren();
    return { signs: [], warnings: [`The engraver stopped: ${err.message}`] };
  }
}

function summary(data) {
  const players = data.tunes.flatMap((t) => t.players.map((p) => [t.title, p.name].filter(Boolean).join(', ') + ': ' + p.text));
  const count = data.findings.length;
  return [...players, count === 0 ? 'Nothing was found.' : count === 1 ? '1 remark' : `${count} remarks`].join(' · ');
}

function legend() {
  const p = document.createElement('p');
  p.className = 'legend';
  p.textContent = 'A bracket joins the notes that the hand sets its fingers on at once; the digits are the fingers in the order in which they ' +
    'play, 1 being the thumb; fingers without a blank between them play together; a dash is a string that no finger is left for. Numbered lines are the remarks below: thick with a filled ' +
    'number for errors, thin with a framed number for warnings, dotted for information and hints. Pedals: strokes from left to right are ' +
    'D C B | E F G A, up for flat, in the middle for natural, down for sharp.';
  return p;
}

function passedOver(warnings) {
  const details = document.createElement('details');
  const heading = document.createElement('summary');
  heading.textContent = 'What the engraver did not draw; the review read it all the same';
  const list = document.createElement('ul');
  for (const warning of warnings) {
    const item = document.createElement('li');
    item.textContent = warning.replace(/<[^>]*>/g, '');
    list.append(item);
  }
  details.append(heading, list);
  return details;
}

function follow() {
  frame?.remove();
  frame = undefined;
  const sign = at(signs, cursor) ?? at(signs, cursor - 1);
  if (!sign) return;
  const { x, y, width, height } = sign.box;
  frame = make('rect', { x: x - 4, y: y - 3, width: width + 8, height: height + 6, class: 'cursor' });
  sign.svg.append(frame);
  frame.scrollIntoView({ block: 'nearest' });
}

// Only the newest is drawn when several come while one is being drawn.
function drawNewest() {
  const data = newest;
  newest = undefined;
  if (!data) return;
  draw(data);
  follow();
}

window.addEventListener('message', ({ data }) => {
  if (data.failed) {
    state.textContent = `The review could not be made: ${data.failed}`;
  } else if (data.cursor !== undefined) {
    cursor = data.cursor;
    if (!newest) follow();
  } else {
    newest = data;
    setTimeout(drawNewest);
  }
});
editor.postMessage({ ready: true });
