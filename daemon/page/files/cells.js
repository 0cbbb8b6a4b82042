// Which cell is the weakest? Every long list as a map, each box filled by how far it is from the
// middle of all.
import {byId, make, setData, setText} from './dom.js';
import {car} from './car.js';
import {decimalsOf, number, unitText} from './words.js';

let maps = [];

// Of cell voltages the lowest is the one to look at, of temperatures the highest.
const looksForHighest = (signal) => signal.role.endsWith('temperatures');

export function cellsVehicle() {
  const parent = byId('cells-maps');
  parent.replaceChildren();
  maps = [];
  car.vehicle.signals.forEach((signal, index) => {
    if (!signal.series || signal.count < 6) return;
    const answer = make('p', {class: 'answer'}, '…');
    const detail = make('p', {class: 'small'});
    const map = make('div', {class: 'map', role: 'list', 'aria-label': signal.name});
    const cells = [];
    for (let i = 0; i < signal.count; ++i) {
      const value = make('b', {}, '–');
      const cell = make('div', {class: 'cell', role: 'listitem'}, make('i', {}, String(i + 1)), value);
      map.append(cell);
      cells.push({cell, value});
    }
    parent.append(answer, map, detail);
    maps.push({signal, index, answer, detail, cells});
  });
  maps.sort((a, b) => (b.signal.role === 'cell voltages') - (a.signal.role === 'cell voltages'));
  for (const map of maps) parent.append(map.answer, map.cells[0].cell.parentElement, map.detail);
  if (maps.length === 0) parent.append(make('p', {class: 'answer'}, 'No definition file has a list of cells.'));
}

function median(sorted) {
  const half = Math.floor(sorted.length / 2);
  return sorted.length % 2 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

// Differences of cell voltages are spoken of in millivolts.
function difference(value, signal) {
  if (signal.unit === 'V') return Math.round(value * 1000) + ' mV';
  return number(value, decimalsOf(signal)) + ' ' + unitText(signal.unit);
}

function showMap({signal, index, answer, detail, cells}) {
  const entry = car.now.values[index];
  const values = entry ? entry[0].map((value, i) => (entry[1][i] === 'v' ? value : null)) : [];
  const sorted = values.filter((value) => value !== null).sort((a, b) => a - b);
  if (sorted.length === 0) {
    setText(answer, signal.name + ': nothing heard.');
    return;
  }
  const decimals = decimalsOf(signal);
  const middle = median(sorted);
  const spread = sorted[sorted.length - 1] - sorted[0];
  const highest = looksForHighest(signal);
  const worst = highest ? sorted[sorted.length - 1] : sorted[0];
  const full = Math.max(spread, (signal.step || 0) * 8) || 1;
  const at = values.indexOf(worst);
  setText(answer, (highest ? 'Warmest: ' : 'Weakest: ') + 'number ' + (at + 1) + ', ' + number(worst, decimals) + ' '
    + unitText(signal.unit) + (spread > 0 ? ', ' + difference(Math.abs(middle - worst), signal) + (highest ? ' above' : ' below') + ' the middle.' : '.'));
  setText(detail, signal.name + ': ' + sorted.length + ' of ' + signal.count + ' heard; middle ' + number(middle, decimals) + ' '
    + unitText(signal.unit) + ', from lowest to highest ' + difference(spread, signal) + '.'
    + (highest ? '' : ' Lowest at this moment; a weak cell shows most under load.'));
  cells.forEach(({cell, value}, i) => {
    const v = values[i] ?? null;
    setText(value, number(v, v === null ? null : decimals));
    setData(cell, 'letter', entry[1][i] || '-');
    setData(cell, 'weakest', v !== null && i === at ? '1' : '0');
    setData(cell, 'side', v === null || v === middle ? '' : (v < middle) !== highest ? 'worse' : 'better');
    const far = v === null ? '0' : Math.min(1, Math.abs(v - middle) / full).toFixed(2);
    if (cell.style.getPropertyValue('--far') !== far) cell.style.setProperty('--far', far);
  });
}

export function showCells() {
  for (const map of maps) showMap(map);
}
