// Brings the sheets, the live connection and the choice of a question together.
import {byId, memory, setData, setHidden, setText} from './dom.js';
import {ask, listen} from './link.js';
import {car, setVehicle} from './car.js';
import {showWarnings, showWarningStrip} from './warnings.js';
import {setUpRecording, showRecording} from './recording.js';
import {setUpMarks, showMarks} from './marks.js';
import {figuresVehicle, setUpFigures, showFigures} from './figures.js';
import {setUpValues, showValues, valuesVehicle} from './values.js';
import {collectTrend, redrawTrend, setUpTrend, showTrend, trendVehicle} from './trend.js';
import {cellsVehicle, showCells} from './cells.js';
import {showBuses} from './buses.js';
import {showProblems} from './problems.js';
import {lasting} from './words.js';

const VIEWS = ['now', 'mark', 'figures', 'values', 'trend', 'cells', 'buses'];
const SHOW = {now: showFigures, mark: showFigures, figures: showFigures, values: showValues, cells: showCells, buses: showBuses};
const view = () => document.body.dataset.view;
let lostSince = null;

function choose() {
  const wanted = location.hash.slice(1);
  document.body.dataset.view = VIEWS.includes(wanted) ? wanted : 'now';
  for (const button of byId('tabs').children) {
    button.setAttribute('aria-current', String(button.dataset.to === view()));
  }
  if (car.now) show(true);
}

function show(newPoint) {
  const warnings = showWarnings();
  showWarningStrip(warnings);
  showProblems();
  showRecording();
  showMarks();
  if (view() === 'trend') showTrend(newPoint);
  else SHOW[view()]();
}

function onVehicle(vehicle) {
  setVehicle(vehicle);
  setText(byId('vehicle'), vehicle.vehicle);
  setText(byId('sources'), vehicle.sources);
  figuresVehicle();
  valuesVehicle();
  trendVehicle();
  cellsVehicle();
}

function onNow(now) {
  car.now = now;
  show(collectTrend());
}

function onContact(state) {
  setData(document.body, 'contact', state);
  if (state === 'live') {
    lostSince = null;
    return;
  }
  lostSince ??= Date.now();
}

setInterval(() => {
  if (lostSince === null) return;
  setText(byId('strip-contact'), 'No contact with the daemon for ' + lasting((Date.now() - lostSince) / 1000) + '; what is shown is old.');
}, 1000);

function setUpLook() {
  const look = byId('theme');
  const apply = () => {
    if (look.value) document.documentElement.dataset.theme = look.value;
    else delete document.documentElement.dataset.theme;
    redrawTrend();
  };
  look.value = memory.get('look', '');
  look.addEventListener('change', () => {
    memory.set('look', look.value);
    apply();
  });
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', apply);
  apply();
}

// The link that is printed at the start carries the token behind "#", which is never sent.
function takeToken() {
  const found = location.hash.match(/^#token=([\w-]+)$/);
  if (!found) return '';
  history.replaceState(null, '', location.pathname);  // it stays neither in sight nor in the history
  return found[1];
}

let link = null;
const carried = takeToken();

async function signIn(token) {
  try {
    await ask('POST', '/api/sign-in', {token});
    setHidden(byId('sign-in'), true);
    setHidden(byId('sheets'), false);
    setText(byId('sign-in-trouble'), '');
    link.signedIn();
  } catch (error) {
    setText(byId('sign-in-trouble'), error.message);
  }
}

function showSignIn() {
  setHidden(byId('sign-in'), false);
  setHidden(byId('sheets'), true);
  setText(byId('strip-contact'), 'Signed out.');
  byId('token').focus();
}

byId('sign-in').addEventListener('submit', (event) => {
  event.preventDefault();
  signIn(byId('token').value.trim());
  byId('token').value = '';
});
byId('tabs').addEventListener('click', (event) => {
  const to = event.target.dataset.to;
  if (to) location.hash = to;
});
addEventListener('hashchange', choose);
setUpRecording();
setUpMarks();
setUpFigures();
setUpValues();
setUpTrend();
setUpLook();
choose();
if (carried) {
  await ask('POST', '/api/sign-in', {token: carried}).catch((error) => setText(byId('sign-in-trouble'), error.message));
}
link = listen({vehicle: onVehicle, now: onNow, contact: onContact, signIn: showSignIn});
