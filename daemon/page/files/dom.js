// Small helpers around the document. Text always goes in as text, never as markup: names and words
// come from definition files and from buses.

export const byId = (id) => document.getElementById(id);

// make('p', {class: 'small'}, 'text', node, ...)
export function make(tag, attributes = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value !== null && value !== undefined) node.setAttribute(name, value);
  }
  node.append(...children);
  return node;
}

// Changes the document only where something is different, so that nothing flickers and a selection
// stays.
export function setText(node, text) {
  if (node.textContent !== text) node.textContent = text;
}

export function setData(node, name, value) {
  if (node.dataset[name] !== value) node.dataset[name] = value;
}

export function setHidden(node, hidden) {
  if (node.hidden !== hidden) node.hidden = hidden;
}

// Rows for `items` below `parent`, one per key, in order; rows that are there already are kept.
// `create(item)` makes a row, `update(row, item)` fills it.
export function keepRows(parent, items, keyOf, create, update) {
  const old = new Map();
  for (const row of parent.children) old.set(row.dataset.key, row);
  let place = parent.firstElementChild;
  for (const item of items) {
    const key = String(keyOf(item));
    let row = old.get(key);
    if (row) {
      old.delete(key);
    } else {
      row = create(item);
      row.dataset.key = key;
    }
    if (row === place) {
      place = place.nextElementSibling;
    } else {
      parent.insertBefore(row, place);
    }
    update(row, item);
  }
  for (const row of old.values()) row.remove();
}

// What this browser remembers; a browser that forbids it forgets.
export const memory = {
  get(name, fallback) {
    try {
      const text = localStorage.getItem('proofdrive.' + name);
      return text === null ? fallback : JSON.parse(text);
    } catch {
      return fallback;
    }
  },
  set(name, value) {
    try {
      localStorage.setItem('proofdrive.' + name, JSON.stringify(value));
    } catch { /* forgotten at the next visit */ }
  },
};
