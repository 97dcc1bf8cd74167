// The music, engraved by abcjs, and where each of its notes stands.
import abcjs from 'abcjs';
import { hull } from './svg.js';

// Room between the staves for the brackets over each and the pedals under the
// last, and the number of the bar at the head of each line.
const layout = '%%staffsep 105\n%%sysstaffsep 66\n%%musicspace 20\n%%barnumbers 0\n';

// engrave draws every tune of the text into the host and gives the signs, each a
// note, chord or rest: { start, end, tune, line, staff, staves, box, elements, svg },
// start and end being offsets into the text, and what the engraver passed over.
export function engrave(host, text, clicked) {
  host.replaceChildren();
  // The engraver counts a line end as one character; a blank keeps the offsets.
  const abc = layout + text.replace(/\r\n/g, ' \n').replace(/\r/g, '\n');
  const hosts = Array.from({ length: abcjs.numberOfTunes(abc) }, () => host.appendChild(document.createElement('section')));
  const tunes = abcjs.renderAbc(hosts, abc, {
    add_classes: true,
    responsive: 'resize',
    staffwidth: 760,
    paddingtop: 20,
    paddingbottom: 70, // for the pedals of the last line
    selectTypes: ['note', 'rest'],
    selectionColor: 'currentColor',
    clickListener: (element) => clicked({ start: element.startChar - layout.length }),
  });
  for (const tempo of host.querySelectorAll('g.abcjs-tempo')) tempo.setAttribute('transform', 'translate(0 -22)');
  const signs = tunes.flatMap((tune, i) => signsOf(tune, i, hosts[i].querySelector('svg')));
  return { signs, warnings: tunes.flatMap((tune) => tune.warnings ?? []) };
}

function signsOf(tune, number, svg) {
  const signs = [];
  for (const [line, { staff: staves = [] }] of tune.lines.entries()) {
    for (const [staff, { voices }] of staves.entries()) {
      for (const sign of voices.flat()) {
        const elements = (sign.abselem?.elemset ?? []).filter((e) => e?.isConnected);
        if (sign.el_type !== 'note' || elements.length === 0) continue;
        signs.push({
          start: sign.startChar - layout.length, end: sign.endChar - layout.length, tune: number, line, staff, staves: staves.length,
          box: hull(elements.map((e) => e.getBBox())), elements, svg,
        });
      }
    }
  }
  return signs;
}

// at finds the sign that holds an offset.
export function at(signs, offset) {
  return signs.find((s) => s.start <= offset && offset < s.end);
}

// near finds the signs that a stretch of the text touches, else the last one
// before it: a bar line, for example, is no sign.
export function near(signs, { start, end }) {
  const touched = signs.filter((s) => s.start < end && s.end > start);
  if (touched.length > 0) return touched;
  const before = signs.filter((s) => s.start <= start);
  return before.length > 0 ? [before.reduce((a, b) => (b.start > a.start ? b : a))] : [];
}

// byStaff parts signs into those that stand on one staff of one line, in order.
export function byStaff(signs) {
  const parts = new Map();
  for (const sign of signs) {
    const key = `${sign.tune} ${sign.line} ${sign.staff}`;
    if (!parts.has(key)) parts.set(key, []);
    parts.get(key).push(sign);
  }
  return [...parts.values()];
}
