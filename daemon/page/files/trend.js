// How did it get there? One plot per quantity, each with its own scale, over the same minutes. What
// happened before this page was opened comes from the daemon, the rest is added as it comes.
import {byId, make, memory, setText} from './dom.js';
import {ask} from './link.js';
import {car, fillChoice, firstChoice, quantity, reading} from './car.js';
import {marksMade} from './marks.js';
import {timeOfDay} from './words.js';

const MOST = 6;
const STEP = 0.5;  // seconds between points, by this machine's clock
const POINTS = 1200;
let plots = [];  // {key, rows: [[Date, value]], chart, head}
let lastPoint = 0;

const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
const keys = () => plots.map((plot) => plot.key);

function drawMarks(context, area, chart) {
  context.strokeStyle = colour('--faint');
  for (const mark of marksMade) {
    const x = chart.toDomXCoord(mark.time * 1000);
    if (x < area.x || x > area.x + area.w) continue;
    context.beginPath();
    context.moveTo(x, area.y);
    context.lineTo(x, area.y + area.h);
    context.stroke();
  }
}

// A still signal is drawn as a line in the middle, not as its last digit jumping over the whole plot.
function valueRange(plot, from) {
  const values = plot.rows.filter(([time, value]) => time.getTime() >= from && value !== null).map(([, value]) => value);
  if (values.length === 0) return [0, 1];
  const low = Math.min(...values);
  const high = Math.max(...values);
  const step = plot.q.signal.frame === '' ? Math.abs(high) / 1000 : plot.q.signal.step;
  const pad = Math.max((high - low) * 0.08, (step || 1e-6) * 8 - (high - low) / 2);
  return [low - pad, high + pad];
}

function axisNumber(range) {
  const decimals = Math.min(6, Math.max(0, Math.ceil(-Math.log10((range[1] - range[0]) / 4))));
  return (value) => value.toFixed(decimals);
}

function draw(plot) {
  if (plot.rows.length === 0 || !plot.body.isConnected || plot.body.clientWidth === 0) return;
  const end = plot.rows[plot.rows.length - 1][0].getTime();
  const span = Number(byId('trend-span').value) * 1000;
  const window = [end - span, end];
  const range = valueRange(plot, end - span);
  if (plot.chart) {
    plot.chart.updateOptions({file: plot.rows, dateWindow: window, valueRange: range, colors: [colour('--plot')],
      axes: {y: {axisLabelFormatter: axisNumber(range)}}});
    return;
  }
  plot.chart = new globalThis.Dygraph(plot.body, plot.rows, {
    labels: ['time', 'value'],
    legend: 'never',
    colors: [colour('--plot')],
    strokeWidth: 2,
    dateWindow: window,
    includeZero: false,
    gridLineColor: colour('--line'),
    axisLineColor: colour('--line'),
    gridLineWidth: 0.4,
    xRangePad: 0,
    valueRange: range,
    interactionModel: {},  // a bump does not zoom
    axes: {x: {axisLabelFormatter: (date) => timeOfDay(date.getTime() / 1000), pixelsPerLabel: 80}, y: {axisLabelWidth: 56, axisLabelFormatter: axisNumber(range)}},
    underlayCallback: drawMarks,
  });
}

async function fetchPast(plot) {
  try {
    const past = await ask('GET', '/api/history?signals=' + encodeURIComponent(plot.key));
    const column = past.signals[plot.key];
    const rows = past.time.map((time, i) => [new Date(time * 1000), column[i]]);
    const from = rows.length ? rows[rows.length - 1][0] : new Date(0);
    plot.rows = rows.concat(plot.rows.filter(([time]) => time > from)).slice(-POINTS);
  } catch { /* it begins now, then */ }
  draw(plot);
}

function makePlot(key) {
  const q = quantity(key);
  const value = make('strong', {}, '–');
  const close = make('button', {type: 'button', 'aria-label': 'Remove the plot of ' + q.label}, '×');
  const body = make('div', {class: 'plot-body', role: 'img', 'aria-label': 'Plot of ' + q.label});
  const box = make('div', {class: 'plot'}, make('div', {class: 'plot-head'},
    make('span', {}, q.unit ? q.label + ' (' + q.unit + ')' : q.label), value, close), body);
  const plot = {key, q, rows: [], chart: null, value, body, box};
  close.addEventListener('click', () => {
    plots = plots.filter((other) => other !== plot);
    plot.chart?.destroy();
    box.remove();
    memory.set('plots', keys());
  });
  plots.push(plot);
  byId('trend-plots').append(box);
  fetchPast(plot);
}

export function addPlot(key) {
  location.hash = 'trend';
  if (!quantity(key) || keys().includes(key)) return;
  if (plots.length >= MOST) plots[0].box.querySelector('button').click();
  makePlot(key);
  memory.set('plots', keys());
}

export function trendVehicle() {
  fillChoice(byId('trend-add'), 'choose a signal');
  for (const plot of plots) plot.chart?.destroy();
  plots = [];
  byId('trend-plots').replaceChildren();
  const kept = memory.get('plots', []).filter(quantity).slice(0, MOST);
  for (const key of kept.length ? kept : firstChoice(3)) makePlot(key);
}

// Always called, so that the lines have no gap where another question was looked at.
export function collectTrend() {
  const clock = performance.now() / 1000;
  if (clock - lastPoint < STEP) return false;
  lastPoint = clock;
  const time = new Date(car.now.time * 1000);
  for (const plot of plots) {
    const read = plot.q.read();
    if (plot.rows.length && time < plot.rows[plot.rows.length - 1][0]) plot.rows.length = 0;
    plot.rows.push([time, read.letter === 'v' ? read.value : null]);
    if (plot.rows.length > POINTS) plot.rows.shift();
  }
  return true;
}

export function showTrend(newPoint) {
  for (const plot of plots) {
    setText(plot.value, reading(plot.q, plot.q.read()));
    if (newPoint || !plot.chart) draw(plot);
  }
}

export function setUpTrend() {
  // The library's own legend brings markup with styles of its own, which this page forbids.
  const {Dygraph} = globalThis;
  Dygraph.PLUGINS = Dygraph.PLUGINS.filter((plugin) => plugin !== Dygraph.Plugins.Legend);
  byId('trend-add').addEventListener('change', (event) => {
    addPlot(event.target.value);
    event.target.value = '';
  });
  byId('trend-span').value = memory.get('span', '180');
  byId('trend-span').addEventListener('change', (event) => memory.set('span', event.target.value));
}

// The look changed: colours are drawn, not styled.
export function redrawTrend() {
  for (const plot of plots) {
    plot.chart?.updateOptions({gridLineColor: colour('--line'), axisLineColor: colour('--line')});
    draw(plot);
  }
}
