// What are the figures? Four numbers, large enough to read from the back seat.
import {byId, make, memory, setData, setText} from './dom.js';
import {car, fillChoice, firstChoice, quantity, reading} from './car.js';
import {lasting} from './words.js';

const MANY = 4;
const LEAST = 5;  // characters a number is sized for, so that it does not change size at every digit
let figures = [];  // {select, number, unit, heard}

function choose() {
  memory.set('figures', figures.map((figure) => figure.select.value));
}

export function figuresVehicle() {
  const kept = memory.get('figures', []);
  const first = firstChoice(MANY);
  const grid = byId('figure-grid');
  grid.replaceChildren();
  figures = [];
  for (let i = 0; i < first.length; ++i) {
    const select = make('select', {'aria-label': 'Figure ' + (i + 1)});
    fillChoice(select, false);
    select.value = quantity(kept[i]) ? kept[i] : first[i];
    select.addEventListener('change', choose);
    const number = make('div', {class: 'number'}, '–');
    const unit = make('span', {});
    const heard = make('span', {});
    grid.append(make('div', {class: 'figure'}, select, number, make('div', {class: 'unit'}, unit, heard)));
    figures.push({select, number, unit, heard});
  }
  if (figures.length === 0) grid.append(make('p', {}, 'No definition file says what a signal is.'));
}

export function showFigures() {
  for (const figure of figures) {
    const q = quantity(figure.select.value);
    if (!q) continue;
    const read = q.read();
    const text = reading(q, read);
    setText(figure.number, text);
    const length = String(Math.max(LEAST, text.length));
    if (figure.number.style.getPropertyValue('--n') !== length) figure.number.style.setProperty('--n', length);
    figure.number.classList.toggle('old', read.letter === 's');
    setText(figure.unit, read.state === '' ? q.unit : '');
    setText(figure.heard, {v: '', s: 'silent ' + lasting(read.age), a: 'absent', o: 'out of range', '-': 'never heard'}[read.letter]);
  }
}

let lamp = null;  // keeps the screen on while the mount view is shown, where the browser can

async function mount(on) {
  document.body.classList.toggle('mount', on);
  setText(byId('mount'), on ? 'Back' : 'Fill the screen');
  try {
    if (on) {
      await document.documentElement.requestFullscreen?.();
      lamp = await navigator.wakeLock?.request('screen');
    } else {
      await lamp?.release();
      if (document.fullscreenElement) await document.exitFullscreen();
    }
  } catch { /* not allowed here: the view works without */ }
}

export function setUpFigures() {
  byId('mount').addEventListener('click', () => mount(!document.body.classList.contains('mount')));
  document.addEventListener('fullscreenchange', () => {
    if (!document.fullscreenElement && document.body.classList.contains('mount')) mount(false);
  });
  document.addEventListener('keydown', (event) => {
    if (event.key === 'Escape' && document.body.classList.contains('mount')) mount(false);
  });
}
