// What the page knows of the vehicle: its description, and the newest message.
import {decimalsOf, number, unitText} from './words.js';

export const car = {
  vehicle: {vehicle: '', sources: '', channels: [], signals: [], warnings: []},
  now: null,
  quantities: [],  // everything that is one number at a time
};

const lowest = (list) => list.reduce((a, b) => (b !== null && (a === null || b < a) ? b : a), null);
const highest = (list) => list.reduce((a, b) => (b !== null && (a === null || b > a) ? b : a), null);

// Elements of a series that have a value now.
export function liveElements(entry) {
  if (!entry) return [];
  return entry[0].map((value, i) => (entry[1][i] === 'v' ? value : null));
}

// Quantities: each scalar signal, and the lowest and highest element of each series. `read()` gives
// {value, letter, age, state}; letter '-' while nothing was received.
function quantitiesOf(vehicle) {
  const list = [];
  const nothing = {value: null, letter: '-', age: null, state: ''};
  vehicle.signals.forEach((signal, index) => {
    const common = {signal, unit: unitText(signal.unit), decimals: decimalsOf(signal)};
    const entry = () => (car.now ? car.now.values[index] : null);
    if (!signal.series) {
      list.push({...common, key: signal.name, label: signal.name, read: () => {
        const e = entry();
        return e ? {value: e[0], letter: e[1], age: e[2], state: e[3] || ''} : nothing;
      }});
      return;
    }
    if (signal.is_text) return;
    for (const [end, pick] of [['lowest', lowest], ['highest', highest]]) {
      list.push({...common, key: signal.name + '.' + end, label: signal.name + ', ' + end, read: () => {
        const e = entry();
        if (!e) return nothing;
        const value = pick(liveElements(e));
        return {value, letter: value === null ? 's' : 'v', age: e[2], state: ''};
      }});
    }
  });
  return list;
}

export function setVehicle(vehicle) {
  car.vehicle = vehicle;
  car.now = null;
  car.quantities = quantitiesOf(vehicle);
}

export const quantity = (key) => car.quantities.find((q) => q.key === key);

// The value as people read it: a state's name, else the number.
export function reading(q, read) {
  if (read.state !== '') return read.state;
  return typeof read.value === 'string' ? read.value : number(read.value, q.decimals);
}

// The quantities people look at first, by role.
const FIRST = [
  ['state of charge'], ['pack current'], ['cell voltages', 'lowest'], ['cell temperatures', 'highest'],
  ['isolation resistance'], ['pack voltage'], ['supply voltage'], ['coolant outlet temperature'],
];
export function firstChoice(many) {
  const keys = [];
  for (const [role, end] of FIRST) {
    const q = car.quantities.find((c) => c.signal.role === role && (!end || c.key.endsWith('.' + end)));
    if (q) keys.push(q.key);
  }
  for (const q of car.quantities) if (!q.signal.is_text && !keys.includes(q.key)) keys.push(q.key);
  return keys.slice(0, many);
}

// Options for a <select> of quantities that are numbers.
export function fillChoice(select, first) {
  select.replaceChildren();
  if (first) select.append(new Option(first, ''));
  for (const q of car.quantities) if (!q.signal.is_text) select.append(new Option(q.label, q.key));
}
