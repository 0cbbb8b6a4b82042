// Are the buses heard, how busy are they, and do they make errors?
import {byId, keepRows, make, setText} from './dom.js';
import {car} from './car.js';
import {count} from './words.js';

function row() {
  return make('div', {class: 'bus'}, make('h3'), make('div', {class: 'meter', 'aria-hidden': 'true'}, make('span'), make('span')),
    make('p', {class: 'facts'}, ...Array.from({length: 6}, () => make('span'))));
}

const percent = (part) => (part * 100).toFixed(part < 0.1 ? 1 : 0);

function loadText(channel, bus) {
  if (!bus.bitrate) return 'load not known: the bit rate is not stated';
  return 'busy ' + percent(channel.load_least) + ' to ' + percent(channel.load_most) + ' % of the time';
}

// What the adapter is set to; nothing for a bench vehicle or a replay.
function adapterText(adapter) {
  if (!adapter) return '';
  return 'adapter ' + adapter.interface + (adapter.bus_state ? ', ' + adapter.bus_state : '')
    + (adapter.overruns ? ', ' + count(adapter.overruns, 'overrun') : '');
}

function sendingText(adapter) {
  if (!adapter || adapter.listen_only === null) return '';
  return adapter.listen_only ? 'listens only' : 'takes part: it acknowledges what it hears';
}

function width(node, part) {
  const text = (part * 100).toFixed(1) + '%';
  if (node.style.width !== text) node.style.width = text;
}

function fill(node, {channel, bus}) {
  setText(node.querySelector('h3'), (bus.bus ? bus.bus + ' · ' : '') + bus.name + (bus.bitrate ? ' · ' + bus.bitrate / 1000 + ' kbit/s' : ''));
  const [least, most] = node.querySelectorAll('.meter span');
  width(least, channel.load_least);
  width(most, channel.load_most);
  const facts = node.querySelectorAll('.facts span');
  setText(facts[0], loadText(channel, bus));
  setText(facts[1], Math.round(channel.frames_per_s).toLocaleString('en') + ' frames/s');
  setText(facts[2], count(channel.errors, 'error message'));
  setText(facts[3], channel.state ? 'last change: ' + channel.state : '');
  setText(facts[4], adapterText(channel.adapter));
  setText(facts[5], sendingText(channel.adapter));
  facts[2].classList.toggle('bad', channel.errors > 0);
  facts[3].classList.toggle('bad', channel.state !== '' && channel.state !== 'up' && channel.state !== 'error active');
}

function answer(list) {
  const silent = list.filter(({channel}) => channel.frames_per_s === 0);
  const name = ({bus}) => bus.bus || bus.name;
  if (list.length === 0) return 'There is no bus.';
  if (silent.length > 0) return 'Nothing is heard on ' + silent.map(name).join(', ') + '.';
  const faulty = list.filter(({channel}) => channel.errors > 0);
  const all = list.length === 1 ? 'The bus is heard' : list.length === 2 ? 'Both buses are heard' : 'All ' + list.length + ' buses are heard';
  return all + (faulty.length ? ', with errors on ' + faulty.map(name).join(', ') + '.' : ', without errors.');
}

export function showBuses() {
  const list = car.vehicle.channels.map((bus, i) => ({bus, channel: car.now.channels[i]})).filter(({channel}) => channel);
  setText(byId('buses-answer'), answer(list));
  keepRows(byId('bus-list'), list.map((item, i) => ({...item, i})), ({i}) => i, row, fill);
  setText(byId('buses-lost'), count(car.now.frames, 'frame') + ' since the daemon started; '
    + (car.now.dropped === 0 ? 'none lost on this machine.' : count(car.now.dropped, 'frame') + ' lost on this machine.')
    + ' Busy time is given without and with the most stuff bits a frame can have.');
}
