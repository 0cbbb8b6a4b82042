// What is wrong with listening or recording, and what to do about it?
import {byId, keepRows, make, setData, setHidden, setText} from './dom.js';
import {car} from './car.js';

const row = () => make('li', {}, make('strong'), make('p'));

function fill(node, problem) {
  setData(node, 'urgency', problem.urgency);
  setText(node.querySelector('strong'), problem.what);
  setText(node.querySelector('p'), problem.remedy);
}

export function showProblems() {
  setHidden(byId('problems-box'), car.now.problems.length === 0);
  keepRows(byId('problems'), car.now.problems, (problem) => problem.what, row, fill);
}
