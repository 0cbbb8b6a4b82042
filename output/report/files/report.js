'use strict';
// Draws the plots of a report. Data: the JSON in #plot-data, one object per place (output/report/charts.h).
(() => {
  const charts = JSON.parse(document.getElementById('plot-data').textContent);
  // One source of colours: the stylesheet.
  const look = getComputedStyle(document.documentElement);
  const colour = (name) => look.getPropertyValue('--' + name).trim();
  const INK = colour('plot'), MARK = colour('faint'), LEVEL = colour('soon'), OPEN = colour('stop');
  const FRAME = colour('line'), GRID = colour('well'), BAND = OPEN + '29';
  const bySide = new Map();

  const two = (n) => String(n).padStart(2, '0');
  function clock(seconds, step) {
    const s = Math.abs(seconds);
    if (step !== undefined && step < 1) return seconds.toFixed(step < 0.1 ? 2 : 1);
    const whole = Math.round(s), h = Math.floor(whole / 3600), m = Math.floor(whole / 60) % 60;
    return h > 0 ? `${h}:${two(m)}:${two(whole % 60)}` : `${m}:${two(whole % 60)}`;
  }
  const STEPS = [.01, .02, .05, .1, .2, .5, 1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600,
    7200, 14400, 21600, 43200, 86400];
  function timeTicks(from, to, pixels) {
    const most = Math.max(2, Math.floor(pixels / 62));
    const step = STEPS.find((s) => (to - from) / s <= most) || (to - from) / most;
    const ticks = [];
    for (let v = Math.ceil(from / step) * step; v <= to; v += step) {
      ticks.push({ v, label: clock(v, step) });
    }
    return ticks;
  }

  // Signals are drawn over session time; curves of checks (with a kind) also over other things.
  const spanOf = (chart) => chart.span || [0, chart.end || 1];
  const isTime = (chart) => !chart.kind || chart.kind === 'time';
  const groupOf = (chart) => chart.kind ? chart.id : chart.side;
  // Levels of a check can lie close together: their names take turns.
  const isLabelLeft = (chart, i) => Boolean(chart.kind) && i % 2 === 0;
  const isMarked = (chart, x) => (chart.marked || []).includes(x);
  function ticksOf(chart) {
    if (isTime(chart)) return timeTicks;
    return (from, to, pixels) => niceNumbers(from, to, Math.max(2, Math.floor(pixels / 62)))
      .filter((v) => chart.kind !== 'bars' || Number.isInteger(v)).map((v) => ({ v, label: String(v) }));
  }

  function rows(chart) {
    const value = (i) => chart.y[i] === null ? [null, null, null]
      : [chart.lo ? chart.lo[i] : chart.y[i], chart.y[i], chart.hi ? chart.hi[i] : chart.y[i]];
    return chart.x.map((x, i) => [x, value(i), ...(chart.expected ? [Array(3).fill(chart.expected[i])] : [])]);
  }

  // One bar per number, from zero; those that stand out in the colour of an open warning.
  function bars(chart) {
    return (e) => {
      const unit = e.plotArea.w / (e.dygraph.xAxisRange()[1] - e.dygraph.xAxisRange()[0]);
      const width = Math.max(1, unit * .8), zero = e.dygraph.toDomYCoord(0);
      for (const p of e.points) {
        e.drawingContext.fillStyle = isMarked(chart, p.xval) ? OPEN : INK;
        e.drawingContext.fillRect(p.canvasx - width / 2, Math.min(zero, p.canvasy), width,
          Math.max(1, Math.abs(zero - p.canvasy)));
      }
    };
  }

  // What a kind of curve needs besides.
  function kindOptions(chart) {
    if (!chart.kind) return {};
    const loose = chart.kind === 'points';
    const own = loose ? { strokeWidth: 0, drawPoints: true, pointSize: 3.5 }
      : chart.kind === 'bars' ? { plotter: bars(chart) } : {};
    const series = { [chart.name]: own };
    if (chart.expected) {
      series[chart.expectedName] = { color: LEVEL, strokePattern: [5, 4], highlightCircleSize: 0 };
    }
    return { series, labels: ['x', chart.name, ...(chart.expected ? [chart.expectedName] : [])],
      colors: chart.expected ? [INK, LEVEL] : [INK] };
  }

  // Stretches in which a warning was on lie behind the curve; marks and limits are lines.
  function underlay(chart) {
    return (ctx, area, plot) => {
      ctx.save();
      ctx.beginPath();
      ctx.rect(area.x, area.y, area.w, area.h);
      ctx.clip();
      ctx.fillStyle = BAND;
      for (const [from, to] of chart.shaded) {
        const left = plot.toDomXCoord(from), right = plot.toDomXCoord(to);
        ctx.fillRect(left, area.y, Math.max(1.5, right - left), area.h);
      }
      ctx.fillStyle = OPEN;
      for (const [from, to] of chart.shaded) {
        const left = plot.toDomXCoord(from), right = plot.toDomXCoord(to);
        ctx.fillRect(left, area.y + area.h - 4, Math.max(1.5, right - left), 4);
      }
      ctx.setLineDash([4, 3]);
      ctx.strokeStyle = MARK;
      for (const [at] of chart.marks) {
        const x = Math.round(plot.toDomXCoord(at)) + .5;
        ctx.beginPath(); ctx.moveTo(x, area.y); ctx.lineTo(x, area.y + area.h); ctx.stroke();
      }
      ctx.strokeStyle = ctx.fillStyle = LEVEL;
      ctx.font = '11px system-ui, sans-serif';
      for (const [i, [value, label]] of chart.levels.entries()) {
        const atLeft = isLabelLeft(chart, i);
        ctx.textAlign = atLeft ? 'left' : 'right';
        const y = Math.round(plot.toDomYCoord(value)) + .5;
        ctx.beginPath(); ctx.moveTo(area.x, y); ctx.lineTo(area.x + area.w, y); ctx.stroke();
        ctx.fillText(label, atLeft ? area.x + 4 : area.x + area.w - 4, y - 3);
      }
      ctx.restore();
    };
  }

  // One value more than the highest and the lowest, so that a flat line is not on the frame.
  function valueRange(chart) {
    let low = Infinity, high = -Infinity;
    if (chart.range) [low, high] = chart.range;
    for (const v of chart.lo || chart.y) if (v !== null && v < low) low = v;
    for (const v of chart.hi || chart.y) if (v !== null && v > high) high = v;
    for (const v of chart.expected || []) { low = Math.min(low, v); high = Math.max(high, v); }
    if (chart.kind === 'bars') { low = Math.min(low, 0); high = Math.max(high, 0); }
    for (const [v] of chart.levels) { low = Math.min(low, v); high = Math.max(high, v); }
    const room = chart.steps ? .5 : (high - low) * .06 || Math.abs(high) * .05 || 1;
    return [low === 0 && chart.kind ? 0 : low - room, high + room];
  }

  function readout(chart, line) {
    return (event, x, points) => {
      if (!points.length) return;
      const i = points[0].idx;
      const text = (v) => {
        const state = (chart.states || []).find(([value]) => value === v);
        return state ? state[1] : `${v}${chart.unit ? ' ' + chart.unit : ''}`;
      };
      const low = chart.lo ? chart.lo[i] : chart.y[i], high = chart.hi ? chart.hi[i] : chart.y[i];
      const mark = chart.marks.find(([at]) => Math.abs(at - x) < chart.end / 200);
      const [from, to] = spanOf(chart);
      const where = isTime(chart) ? clock(x, to - from < 60 ? .1 : 1) : `${chart.xname} ${x} ${chart.xunit}`;
      line.textContent = `${where}  ` +
        (low === high ? text(low) : `${text(low)} to ${text(high)}`) + (mark ? `  mark: ${mark[1]}` : '');
    };
  }

  function zoomTogether(chart, plot) {
    const range = plot.xAxisRange();
    for (const other of bySide.get(groupOf(chart)) || []) {
      const now = other.xAxisRange();
      if (other !== plot && (now[0] !== range[0] || now[1] !== range[1])) {
        other.updateOptions({ dateWindow: range });
      }
    }
  }

  function stateTicks(chart) {
    return () => chart.states.map(([v, label]) => ({ v, label }));
  }

  function draw(chart) {
    const place = document.getElementById(chart.id);
    const line = document.createElement('div');
    line.className = 'plot-read screen-only';
    place.after(line);
    const options = {
      labels: ['time', chart.name], customBars: true, colors: [INK], strokeWidth: 1.4,
      stepPlot: chart.steps, legend: 'never', connectSeparatedPoints: false,
      dateWindow: spanOf(chart), valueRange: valueRange(chart), gridLineColor: GRID,
      axisLineColor: FRAME, highlightCircleSize: 3, underlayCallback: underlay(chart),
      highlightCallback: readout(chart, line), unhighlightCallback: () => { line.textContent = ''; },
      zoomCallback: () => zoomTogether(chart, plot),
      axes: {
        x: { ticker: ticksOf(chart), pixelsPerLabel: 62, axisLabelWidth: 60 },
        y: { axisLabelWidth: chart.steps ? 78 : 52, ...(chart.steps ? { ticker: stateTicks(chart) } : {}) },
      },
      ...kindOptions(chart),
    };
    const plot = new Dygraph(place, rows(chart), options);
    if (!bySide.has(groupOf(chart))) bySide.set(groupOf(chart), []);
    bySide.get(groupOf(chart)).push(plot);
    return plot;
  }

  // The same plot as a drawing for paper: a canvas keeps the width of the window.
  function onPaper(chart) {
    const W = 420, H = 156, left = chart.steps ? 84 : 54, right = 402, top = 8, bottom = 134;
    const [start, end] = spanOf(chart), [low, high] = valueRange(chart);
    const x = (t) => (left + (right - left) * (t - start) / (end - start)).toFixed(1);
    const y = (v) => (bottom - (bottom - top) * (v - low) / (high - low)).toFixed(1);
    const svg = document.createElementNS('http://www.w3.org/2000/svg', 'svg');
    svg.setAttribute('viewBox', `0 0 ${W} ${H}`);
    svg.setAttribute('class', 'on-paper');
    const add = (tag, attributes, text) => {
      const node = document.createElementNS('http://www.w3.org/2000/svg', tag);
      for (const [key, value] of Object.entries(attributes)) node.setAttribute(key, value);
      if (text !== undefined) node.textContent = text;
      svg.append(node);
    };
    for (const [from, to] of chart.shaded) {
      const width = Math.max(.8, x(to) - x(from));
      add('rect', { x: x(from), y: top, width, height: bottom - top, fill: BAND });
      add('rect', { x: x(from), y: bottom - 3, width, height: 3, fill: OPEN });
    }
    add('path', { d: `M${left} ${top}V${bottom}H${right}`, fill: 'none', stroke: FRAME });
    const yTicks = chart.steps ? chart.states.filter(([v]) => v >= low && v <= high)
      : niceNumbers(low, high).map((v) => [v, String(v)]);
    for (const [v, label] of yTicks) {
      add('text', { x: left - 4, y: +y(v) + 3, 'text-anchor': 'end' }, label);
    }
    for (const { v, label } of ticksOf(chart)(start, end, 320)) {
      add('text', { x: x(v), y: bottom + 15, 'text-anchor': 'middle' }, label);
    }
    for (const [at] of chart.marks) {
      add('path', { d: `M${x(at)} ${top}V${bottom}`, stroke: MARK, 'stroke-dasharray': '3 2' });
    }
    for (const [i, [v, label]] of chart.levels.entries()) {
      const atLeft = isLabelLeft(chart, i);
      add('path', { d: `M${left} ${y(v)}H${right}`, stroke: LEVEL, 'stroke-dasharray': '3 2' });
      add('text', { x: atLeft ? left + 2 : right - 2, y: y(v) - 2, 'text-anchor': atLeft ? 'start' : 'end', fill: LEVEL }, label);
    }
    if (chart.kind === 'bars' || chart.kind === 'points') {
      chart.x.forEach((at, i) => {
        const fill = isMarked(chart, at) ? OPEN : INK, zero = +y(0), height = Math.abs(zero - y(chart.y[i]));
        if (chart.kind === 'points') return add('circle', { cx: x(at), cy: y(chart.y[i]), r: 2, fill });
        const width = x(at + .4) - x(at - .4);
        add('rect', { x: x(at - .4), y: Math.min(zero, y(chart.y[i])), width, height: Math.max(.5, height), fill });
      });
    }
    if (chart.expected) {
      const d = chart.x.map((at, i) => `${i ? 'L' : 'M'}${x(at)} ${y(chart.expected[i])}`).join('');
      add('path', { d, stroke: LEVEL, 'stroke-dasharray': '4 3' });
    }
    for (const [from, to] of chart.kind === 'bars' || chart.kind === 'points' ? [] : runs(chart)) {
      const path = (list) => {
        let d = '';
        for (let i = from; i < to; i++) {
          d += `${i === from ? 'M' : chart.steps ? `H${x(chart.x[i])}V` : 'L'}` +
            (chart.steps && i !== from ? y(list[i]) : `${x(chart.x[i])} ${y(list[i])}`);
        }
        return d;
      };
      if (chart.lo) {
        for (let i = from; i < to; i++) {
          if (chart.lo[i] === chart.hi[i]) continue;
          add('path', { d: `M${x(chart.x[i])} ${y(chart.lo[i])}V${y(chart.hi[i])}`, stroke: INK, 'stroke-opacity': .45, 'stroke-width': .5 });
        }
      }
      add('path', { d: path(chart.y), fill: 'none', stroke: INK, 'stroke-width': 1 });
    }
    document.getElementById(chart.id).after(svg);
  }

  // Stretches without a null: [first, one past the last].
  function runs(chart) {
    const list = [];
    for (let i = 0; i < chart.y.length; i++) {
      if (chart.y[i] === null) continue;
      const from = i;
      while (i < chart.y.length && chart.y[i] !== null) i++;
      list.push([from, i]);
    }
    return list;
  }

  function niceNumbers(low, high, most = 4) {
    const rough = (high - low) / most, power = 10 ** Math.floor(Math.log10(rough));
    const step = [1, 2, 5, 10].map((m) => m * power).find((s) => s >= rough);
    const list = [];
    for (let i = Math.ceil(low / step); i * step <= high; i++) list.push(+(i * step).toPrecision(10));
    return list;
  }

  const plots = charts.map(draw);
  charts.forEach(onPaper);
  for (const button of document.querySelectorAll('button.reset')) {
    button.addEventListener('click', () => plots.forEach((plot, i) =>
      plot.updateOptions({ dateWindow: spanOf(charts[i]) })));
  }
  document.documentElement.dataset.plots = String(plots.length);
})();
