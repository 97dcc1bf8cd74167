// The page of the review: engraves the score, marks what was found, and tells
// the editor which note was clicked.
const abcjs = require('abcjs');

const editor = acquireVsCodeApi();
const score = document.getElementById('score');
const state = document.getElementById('state');
let notes = []; // { start, end, elements } of each engraved note

function draw({ text, findings, pedals }) {
  notes = [];
  score.replaceChildren();
  const tunes = abcjs.numberOfTunes(text);
  const hosts = Array.from({ length: tunes }, () => score.appendChild(document.createElement('div')));
  const drawn = abcjs.renderAbc(hosts, text, {
    add_classes: true, responsive: 'resize', selectTypes: ['note', 'rest'],
    clickListener: (element) => editor.postMessage({ offset: element.startChar }),
  });
  for (const tune of drawn) {
    for (const line of tune.lines) for (const staff of line.staff ?? []) for (const voice of staff.voices) {
      for (const e of voice) {
        if (e.el_type === 'note' && e.abselem) notes.push({ start: e.startChar, end: e.endChar, elements: e.abselem.elemset });
      }
    }
  }
  for (const f of findings) mark(f);
  document.getElementById('pedals').replaceChildren(...pedals.map(plan));
  state.textContent = findings.length === 1 ? '1 remark on the saved score' : `${findings.length} remarks on the saved score`;
}

// mark underlines the notes of a finding: the line's pattern tells the severity,
// the title says the finding.
function mark(f) {
  for (const n of notes.filter((n) => n.start < f.end && n.end > f.start)) {
    for (const element of n.elements) {
      const box = element.getBBox();
      const line = document.createElementNS('http://www.w3.org/2000/svg', 'line');
      const y = box.y + box.height + 4;
      for (const [k, v] of Object.entries({ x1: box.x, x2: box.x + box.width, y1: y, y2: y })) line.setAttribute(k, v);
      line.setAttribute('class', 'finding ' + f.severity);
      element.classList.add('flagged');
      const title = document.createElementNS('http://www.w3.org/2000/svg', 'title');
      title.textContent = `${f.severity}, bar ${f.bar}: ${f.message}`;
      element.appendChild(title);
      element.parentNode.appendChild(line);
    }
  }
}

function plan(p) {
  const list = document.createElement('p');
  const moves = p.moves.map((m) => `bar ${m.bar}, beat ${m.beat}: ${m.from} → ${m.to} (${m.foot})`);
  list.textContent = [`Pedals: ${p.setting}`, ...moves].join(' · ');
  return list;
}

function follow(cursor) {
  for (const n of notes) {
    const here = n.start <= cursor && cursor < n.end;
    for (const element of n.elements) {
      element.classList.toggle('cursor', here);
      if (here) element.scrollIntoView({ block: 'nearest' });
    }
  }
}

window.addEventListener('message', ({ data }) => {
  if (data.failed) state.textContent = `The score could not be read: ${data.failed}`;
  else if (data.cursor !== undefined) follow(data.cursor);
  else draw(data);
});
editor.postMessage({ ready: true });
