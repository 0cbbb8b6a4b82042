// What just happened? One tap puts a mark into the recording.
import {byId, make, memory, setHidden, setText} from './dom.js';
import {ask} from './link.js';
import {car} from './car.js';
import {timeOfDay} from './words.js';

const WORDS = ['Something odd', 'Pump switched on', 'Pump switched off', 'Drove off', 'Stopped', 'Plugged in'];
const SHOWN = 6;

export const marksMade = [];  // {time, text}, for the plots

function note(text, words) {
  const list = byId('marks-made');
  list.prepend(make('li', {}, ...words));
  while (list.children.length > SHOWN) list.lastElementChild.remove();
}

async function mark(text) {
  try {
    const made = await ask('POST', '/api/mark', {text});
    const time = Date.parse(made.time) / 1000;
    marksMade.push({time, text});
    if (marksMade.length > 200) marksMade.shift();
    note(text, [make('time', {}, timeOfDay(time)), text]);
  } catch (error) {
    note(text, [make('span', {class: 'bad'}, 'Not stored: '), text + '. ' + error.message]);
  }
}

function showWords() {
  const chips = byId('mark-words');
  chips.replaceChildren();
  for (const text of memory.get('marks', WORDS)) {
    const chip = make('button', {type: 'button', disabled: ''}, text);  // until it is known that one records
    chip.addEventListener('click', () => mark(text));
    chips.append(chip);
  }
}

export function showMarks() {
  const off = car.now.recording === null;
  setText(byId('marks-hint'), off ? 'Marks are kept in a recording: start one first.'
    : 'One tap puts a mark with these words into the recording.');
  const buttons = [...byId('mark-words').children, byId('mark-own').querySelector('button')];
  for (const button of buttons) if (button.disabled !== off) button.disabled = off;
  setHidden(byId('mount-mark'), off);
}

export function setUpMarks() {
  showWords();
  byId('mark-own').addEventListener('submit', (event) => {
    event.preventDefault();
    const text = byId('mark-text').value.trim();
    if (text === '') return;
    byId('mark-text').value = '';
    mark(text);
  });
  byId('mount-mark').addEventListener('click', () => mark('Marked on the mount'));
  byId('mark-list').value = memory.get('marks', WORDS).join('\n');
  byId('mark-list-keep').addEventListener('click', () => {
    const list = byId('mark-list').value.split('\n').map((line) => line.trim().slice(0, 500));
    memory.set('marks', list.filter((line) => line !== '').slice(0, 24));
    showWords();
    if (car.now) showMarks();
  });
}
