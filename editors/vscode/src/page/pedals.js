// The pedals: a diagram under the music where a setting starts, as harpists write
// it: seven strokes, three for the left foot and four for the right, up for flat,
// in the middle for natural, down for sharp.
import { at } from './engraving.js';
import { button, make } from './svg.js';

const step = 5; // between two pedals
const rise = { '▔': -4, '─': 0, '▁': 4 }; // from the middle of the line

export function pedals(data, signs, clicked) {
  const rows = new Map(); // line → the right ends of its rows
  for (const setting of data.settings) {
    const sign = at(signs, setting.start);
    if (!sign) continue;
    const line = signs.filter((s) => s.tune === sign.tune && s.line === sign.line);
    const floor = Math.max(...line.map((s) => s.box.y + s.box.height)) + 34;
    const key = `${sign.tune} ${sign.line}`;
    if (!rows.has(key)) rows.set(key, []);
    draw(setting, sign, floor, rows.get(key), clicked);
  }
}

function draw(setting, sign, floor, ends, clicked) {
  const moves = setting.moves.map((m) => m.to).join(' ');
  const width = Math.max(step * 8 + 6, moves.length * 7) + 8;
  let row = ends.findIndex((end) => end < sign.box.x);
  if (row < 0) row = ends.length;
  ends[row] = sign.box.x + width;
  const y = floor + row * 30;
  const group = button(words(setting), () => clicked(setting), ...diagram(setting.diagram, sign.box.x, y));
  const label = make('text', { x: sign.box.x, y: y + 17, class: 'moves' });
  label.textContent = moves || 'before the piece';
  group.append(label);
  sign.svg.append(group);
}

// diagram draws the strokes and the line through their middle.
function diagram(signs, x, y) {
  const strokes = [];
  let place = x + 3;
  for (const sign of signs) {
    if (sign === '│') {
      strokes.push(make('path', { d: `M${place} ${y - 8}V${y + 8}`, class: 'feet' }));
    } else {
      const middle = y + (rise[sign] ?? 0);
      strokes.push(make('path', { d: `M${place} ${middle - 4}V${middle + 4}`, class: 'pedal' }));
    }
    place += step;
  }
  return [make('path', { d: `M${x} ${y}H${place - step + 3}`, class: 'middle' }), ...strokes];
}

function words(setting) {
  const moves = setting.moves.map((m) => `${m.from} to ${m.to} (${m.foot} foot${m.late > 0 ? `, ${m.late.toFixed(2)} s late` : ''})`);
  const when = moves.length > 0 ? `Bar ${setting.bar}, beat ${setting.beat}: ${moves.join(', ')}` : 'Before the piece';
  return `${when}. Pedals: ${setting.letters}`;
}
