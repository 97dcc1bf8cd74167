// What was found: a numbered line under the notes, and a list under the music.
import { byStaff, near } from './engraving.js';
import { hull, button, make } from './svg.js';

const severities = ['', 'error', 'warning', 'information', 'hint'];

// flag draws the findings of the data and gives their list.
export function flag(data, signs, clicked) {
  const findings = [...data.findings].sort((a, b) => a.bar - b.bar || a.start - b.start);
  const list = document.createElement('ol');
  list.className = 'findings';
  for (const [i, finding] of findings.entries()) {
    const severity = severities[finding.severity];
    for (const part of byStaff(near(signs, finding))) draw(part, i + 1, severity, finding, clicked);
    list.append(entry(finding, severity, clicked));
  }
  return list;
}

function draw(part, number, severity, finding, clicked) {
  const box = hull(part.map((s) => s.box));
  const y = box.y + box.height + 6;
  const line = make('path', { d: `M${box.x} ${y}H${box.x + Math.max(box.width, 8)}`, class: `flag ${severity}` });
  const digits = String(number);
  const width = 6 * digits.length + 5;
  const frame = make('rect', { x: box.x, y: y + 3, width, height: 12, class: `number ${severity}` });
  const label = make('text', { x: box.x + width / 2, y: y + 12.5, class: `number ${severity}` });
  label.textContent = digits;
  part[0].svg.append(button(`${number}, ${words(finding, severity)}`, () => clicked(finding), line, frame, label));
}

function entry(finding, severity, clicked) {
  const item = document.createElement('li');
  const link = document.createElement('button');
  link.className = severity;
  link.textContent = words(finding, severity);
  link.addEventListener('click', () => clicked(finding));
  item.append(link);
  return item;
}

function words(finding, severity) {
  const bars = finding.endBar > finding.bar ? `bars ${finding.bar}–${finding.endBar}` : `bar ${finding.bar}`;
  const where = [severity, finding.bar > 0 && bars, finding.hand].filter(Boolean).join(', ');
  return `${where}: ${finding.message.replace(/`/g, '')}`;
}
