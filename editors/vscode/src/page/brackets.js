// Brackets over the notes of each placing, with the fingers that take them.
import { at, byStaff } from './engraving.js';
import { hull, button, make } from './svg.js';

const gap = 6; // over the highest sign of a bracket
const hook = 4; // how far its ends hang down
const height = 19; // with its digits

// bracket draws the placings of the data over the signs.
export function bracket(data, signs, clicked) {
  const taken = new Map(); // by staff: the boxes that a bracket must keep clear of
  for (const part of byStaff(signs)) taken.set(staffOf(part[0]), part.map((s) => s.box));
  for (const placing of data.placings) {
    const notes = placing.notes.map((i) => ({ ...data.notes[i], sign: at(signs, data.notes[i].start) })).filter((n) => n.sign);
    for (const part of byStaff([...new Set(notes.map((n) => n.sign))])) {
      const own = notes.filter((n) => part.includes(n.sign));
      const strange = away(placing.hand, part[0]);
      if (strange && own.every((n) => n.finger === 0)) continue; // no finger goes there
      draw(placing, part, strange + fingersOf(own), taken.get(staffOf(part[0])), clicked);
    }
  }
}

function staffOf(sign) {
  return `${sign.tune} ${sign.line} ${sign.staff}`;
}

// fingersOf gives the fingers in the order in which they play; those of one chord
// stand together.
function fingersOf(notes) {
  const strokes = [];
  let last;
  for (const note of notes) {
    const finger = note.finger || '–';
    if (note.sign === last) strokes[strokes.length - 1] += finger;
    else strokes.push(String(finger));
    last = note.sign;
  }
  return strokes.join(' ');
}

function draw(placing, part, fingers, taken, clicked) {
  const box = hull(part.map((s) => s.box));
  const [left, right] = [box.x - 1, box.x + Math.max(box.width, 8) + 1];
  const width = Math.max(right - left, 6 * fingers.length);
  const place = free({ x: (left + right - width) / 2, width, y: box.y - gap - height, height }, taken);
  taken.push(place);
  const top = place.y + height - hook;
  const label = make('text', { x: (left + right) / 2, y: top - 3, class: 'fingers' });
  label.textContent = fingers;
  const line = make('path', { d: `M${left} ${top + hook}V${top}H${right}V${top + hook}`, class: 'bracket' });
  const words = `Bar ${placing.bar}, beat ${placing.beat}, ${placing.hand} hand, one placing: fingers ${fingers}.` +
    (placing.why ? ` It ends because ${placing.why}.` : '');
  part[0].svg.append(button(words, () => clicked(placing), line, label));
}

// free moves a box up until it is clear of those that are taken.
function free(box, taken) {
  for (;;) {
    const hit = taken.find((t) => t.x < box.x + box.width && box.x < t.x + t.width && t.y < box.y + box.height && box.y < t.y + t.height);
    if (!hit) return box;
    box = { ...box, y: hit.y - box.height - 1 };
  }
}

// away names the hand where it is not the one that its staff is written for.
function away(hand, sign) {
  if (sign.staves !== 2) return '';
  if (hand === 'left' && sign.staff === 0) return 'L.H. ';
  if (hand === 'right' && sign.staff === 1) return 'R.H. ';
  return '';
}
