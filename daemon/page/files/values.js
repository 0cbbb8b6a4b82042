// What does each signal say, and is it still heard?
import {byId, make, setData, setText} from './dom.js';
import {car, liveElements, quantity, reading} from './car.js';
import {count, decimalsOf, lasting, number, unitText} from './words.js';
import {addPlot} from './trend.js';

let rows = [];  // {row, index, text, value, heard}

function seriesText(signal, entry) {
  const live = liveElements(entry).filter((value) => value !== null);
  if (live.length === 0) return '–';
  if (signal.is_text) return live.join(', ');
  const decimals = decimalsOf(signal);
  return number(Math.min(...live), decimals) + ' to ' + number(Math.max(...live), decimals) + ' ' + unitText(signal.unit);
}

function heardText(entry) {
  if (!entry) return 'never';
  const [letters, age] = [entry[1], entry[2]];
  if (letters.length > 0 && [...letters].every((letter) => letter === 's')) return 'silent ' + lasting(age);
  if (letters === 'a') return 'absent';
  if (letters === 'o') return 'out of range';
  return age < 2 ? 'now' : lasting(age) + ' ago';
}

export function valuesVehicle() {
  const body = byId('values-body');
  body.replaceChildren();
  rows = car.vehicle.signals.map((signal, index) => {
    const value = make('td', {class: 'number'}, '–');
    const heard = make('td', {class: 'heard'}, 'never');
    const button = make('button', {type: 'button', 'aria-label': 'Plot ' + signal.name}, 'plot');
    button.addEventListener('click', () => addPlot(signal.series ? signal.name + '.lowest' : signal.name));
    const name = make('td', {}, signal.name + (signal.series ? ' (' + signal.count + ')' : ''));
    if (signal.role) name.append(make('span', {class: 'role'}, signal.role));
    const row = make('tr', {}, name, value, heard, make('td', {}, ...(signal.is_text ? [] : [button])));
    body.append(row);
    return {row, index, signal, value, heard, words: [signal.name, signal.unit, unitText(signal.unit), signal.role, signal.frame].join(' ').toLowerCase()};
  });
  filter();
}

function filter() {
  const wanted = byId('values-filter').value.trim().toLowerCase();
  for (const row of rows) row.row.hidden = !row.words.includes(wanted);
}

export function showValues() {
  let heard = 0;
  for (const {row, index, signal, value, heard: heardCell} of rows) {
    const entry = car.now.values[index];
    const text = heardText(entry);
    const silent = text === 'never' || text.startsWith('silent');
    if (!silent) ++heard;
    if (row.hidden) continue;
    const q = signal.series ? null : quantity(signal.name);
    const read = q ? q.read() : null;
    setText(value, !entry ? '–' : signal.series ? seriesText(signal, entry)
      : reading(q, read) + (read.state === '' && read.value !== null && signal.unit ? ' ' + unitText(signal.unit) : ''));
    setText(heardCell, text);
    setData(heardCell, 'silent', silent ? '1' : '0');
    value.classList.toggle('old', silent);
  }
  setText(byId('values-answer'), rows.length === 0 ? 'No definition file says what a signal is.'
    : heard + ' of ' + count(rows.length, 'signal') + (heard === 1 ? ' is heard.' : ' are heard.'));
}

export function setUpValues() {
  byId('values-filter').addEventListener('input', filter);
}
