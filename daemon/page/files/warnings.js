// What does the car warn of?
import {byId, keepRows, make, setData, setHidden, setText} from './dom.js';
import {car} from './car.js';
import {count, lasting, timeOfDay} from './words.js';

const WORST = ['stop', 'soon', 'note'];
const SHAPE = {stop: '■ stop', soon: '▲ soon', note: '● note'};

function row(item) {
  const tag = make('span', {class: 'tag', 'data-severity': item.severity}, SHAPE[item.severity]);
  return make('li', {}, tag, make('span', {class: 'say'}, item.text), make('span', {class: 'when'}));
}

function fill(id, items, describe) {
  keepRows(byId(id), items, (item) => item.name, row, (node, item) => {
    setText(node.querySelector('.when'), describe(item));
  });
}

function fold(name, items, title, describe) {
  setHidden(byId('warnings-' + name + '-box'), items.length === 0);
  setText(byId('warnings-' + name + '-count'), title + ': ' + items.length);
  fill('warnings-' + name, items, describe);
}

function answer(on, all) {
  if (all.length === 0) return 'No definition file says what a warning is.';
  if (on.length > 0) return count(on.length, 'warning') + (on.length === 1 ? ' is on.' : ' are on.');
  const unknown = all.filter((item) => item.state === 'unknown').length;
  if (unknown === all.length) return 'Nothing is known yet.';
  return unknown ? 'None is on; ' + unknown + ' cannot be known now.' : 'None is on.';
}

// Gives {on, worst} for the strip.
export function showWarnings() {
  const now = car.now;
  const all = car.vehicle.warnings.map((warning, i) => ({...warning, ...now.warnings[i]}));
  const rank = (item) => WORST.indexOf(item.severity);
  const on = all.filter((item) => item.state === 'on')
    .sort((a, b) => rank(a) - rank(b) || b.since - a.since);
  const off = all.filter((item) => item.state === 'off');
  setText(byId('warnings-answer'), answer(on, all));
  fill('warnings-on', on, (item) => 'for ' + lasting(now.time - item.since) + ', since '
    + timeOfDay(item.since) + ' · ' + item.name);
  fold('past', off.filter((item) => item.was_on), 'Went off', (item) =>
    'on from ' + timeOfDay(item.was_on[0]) + ' to ' + timeOfDay(item.was_on[1]) + ' · ' + item.name);
  fold('unknown', all.filter((item) => item.state === 'unknown'), 'Not known', (item) =>
    'something in “' + item.when + '” is not heard or is absent · ' + item.name);
  fold('off', off.filter((item) => !item.was_on), 'Off', (item) => item.name);
  const worst = on.length ? on[0].severity : '';
  return {on: on.length, worst, known: all.length, text: on.length ? on[0].text : ''};
}

export function showWarningStrip(state) {
  const words = state.known === 0 ? 'No warnings defined'
    : state.on === 0 ? 'No warning on' : count(state.on, 'warning') + ' on';
  setText(byId('strip-warnings'), words);
  setData(byId('strip-warning-box'), 'worst', state.worst);
  setText(byId('mount-warnings'), state.on === 0 ? words : words + ': ' + state.text);
  setData(document.querySelector('.mount-line'), 'worst', state.worst);
}
