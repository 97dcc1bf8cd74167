// Drawing into the engraver's pictures. Lengths are units of the picture, of
// which the space between two staff lines has about 7.75.

const names = 'http://www.w3.org/2000/svg';

export function make(name, attributes, ...children) {
  const element = document.createElementNS(names, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  element.append(...children);
  return element;
}

// button makes a drawing that can be clicked and named.
export function button(label, action, ...children) {
  const title = make('title', {});
  title.textContent = label;
  const group = make('g', { class: 'button', role: 'button', 'aria-label': label }, title, ...children);
  group.addEventListener('click', (event) => {
    event.stopPropagation();
    action();
  });
  return group;
}

// hull is the smallest box around boxes.
export function hull(boxes) {
  const x = Math.min(...boxes.map((b) => b.x));
  const y = Math.min(...boxes.map((b) => b.y));
  return {
    x, y,
    width: Math.max(...boxes.map((b) => b.x + b.width)) - x,
    height: Math.max(...boxes.map((b) => b.y + b.height)) - y,
  };
}
