// The live page in a real browser, in front of the bench vehicle (an invented, simulated car).
import assert from 'node:assert/strict';
import {after, before, test} from 'node:test';
import {connect, createServer} from 'node:net';
import {join} from 'node:path';
import {endAll, live, look, openBrowser, startDaemon, tool, untilText} from './car.mjs';

const VIEWS = ['now', 'mark', 'figures', 'values', 'trend', 'cells', 'buses'];
const pictures = process.env.PROOFDRIVE_PICTURES;  // a folder: pictures are written there

let daemon;
before(async () => { daemon = await startDaemon('coolant-leak'); });
after(endAll);

test('live values change', async () => {
  const page = await look(daemon.url, {hash: '#values'});
  await live(page);
  const row = '#values-body tr:has-text("vehicle_speed") .heard';
  await page.waitForSelector(row);
  await untilText(page, '#values-answer', /\d+ of \d+ signals/);
  // The current of the pack is noisy by a tenth of an ampere.
  const current = () => page.textContent('#values-body tr:has-text("pack_current") .number');
  const first = await current();
  await page.waitForFunction((was) => [...document.querySelectorAll('#values-body tr')]
    .find((tr) => tr.textContent.includes('pack_current')).querySelector('.number').textContent !== was, first);
  assert.deepEqual(page.complaints, []);
  await page.end();
});

test('ten messages a second, and no more', async () => {
  const page = await look(daemon.url);
  await live(page);
  const count = await page.evaluate(() => new Promise((done) => {
    const socket = new WebSocket('ws://' + location.host + '/api/live');
    let messages = 0;
    socket.onmessage = () => {
      if (messages++ === 0) setTimeout(() => { socket.close(); done(messages); }, 3000);
    };
  }));
  assert.ok(count >= 5 && count <= 33, count + ' messages in 3 s');
  await page.end();
});

test('a recording from the page, with marks that land in the session', async () => {
  const page = await look(daemon.url);
  await live(page);
  assert.ok(await page.isDisabled('#mark-words button >> nth=0'), 'nothing is recorded yet');
  await page.fill('#record-name', 'not/a name');
  await page.click('#record-start button');
  await untilText(page, '#recording-trouble', /cannot name a session/);
  await page.fill('#record-name', 'from-page');
  await page.selectOption('#record-stage', 'arrival');
  await page.click('#record-start button');
  await untilText(page, '#recording-answer', /^Yes: from-page, /);
  await page.click('#mark-words button:has-text("Pump switched on")');
  await untilText(page, '#marks-made', /\d\d:\d\d:\d\dPump switched on/);
  await page.fill('#mark-text', 'own <i>words</i>');
  await page.press('#mark-text', 'Enter');
  await untilText(page, '#marks-made', /own <i>words<\/i>/);
  await page.click('#stop');
  assert.match(await page.textContent('#recording-answer'), /^Yes/, 'one tap does not end it');
  await page.click('#stop-sure');
  await untilText(page, '#recording-answer', /^No\.$/);
  await untilText(page, '#recording-detail', /Last: from-page, .* none lost/);
  assert.deepEqual(page.complaints.filter((words) => !words.includes('status of 400')), [], 'but for the name that was refused');
  await page.end();
  const info = await tool('info', join(daemon.folder, 'from-page.session'));
  assert.match(info.out, /Pump switched on/);
  assert.match(info.out, /own <i>words<\/i>/);
  assert.match(info.out, /arrival/);
});

test('a warning appears and clears', async () => {
  // The interlock opens at 48 s of the scenario and closes at 55 s: twice as fast here, and begun
  // when the browser is there.
  const page = await openBrowser();
  const fast = await startDaemon('coolant-leakx2');
  await page.visit(fast.url);
  const words = /A high-voltage connector is not fully closed/;
  await untilText(page, '#warnings-on', words);
  assert.match(await page.textContent('#strip-warnings'), /\d+ warnings on/);
  assert.match(await page.textContent('#warnings-on li:has-text("not fully closed") .when'), /^for \d+ s, since \d\d:\d\d:\d\d · interlock_open$/);
  await untilText(page, '#warnings-past', words);
  const past = await page.textContent('#warnings-past li:has-text("not fully closed") .when');
  assert.match(past, /^on from \d\d:\d\d:\d\d to \d\d:\d\d:\d\d · interlock_open$/);
  assert.doesNotMatch(await page.textContent('#warnings-on'), words);
  assert.match(await page.textContent('#warnings-past-box'), /Off now is no proof of a repair/);
  assert.deepEqual(page.complaints, []);
  await page.end();
  await fast.end();
});

test('the plots have what was before the page was opened', async () => {
  const page = await look(daemon.url, {hash: '#trend'});
  await live(page);
  await page.selectOption('#trend-add', 'supply_voltage');
  await page.waitForSelector('.plot-body[aria-label="Plot of supply_voltage"] canvas');
  await page.waitForFunction(async () => {
    const past = await (await fetch('/api/history?signals=supply_voltage')).json();
    return past.time.length > 5 && past.signals.supply_voltage.at(-1) > 5;
  });
  assert.deepEqual(page.complaints, []);
  await page.end();
});

test('the weakest cell is named and marked', async () => {
  const page = await look(daemon.url, {hash: '#cells'});
  // Cells 41 to 44 are the drained ones of this scenario.
  await untilText(page, '#cells-maps .answer', /^Weakest: number 4[1-4], \d\.\d{3} V, \d+ mV below the middle\.$/);
  const number = await page.textContent('.map >> nth=0 >> .cell[data-weakest="1"] i');
  assert.match(number, /^4[1-4]$/);
  await page.end();
});

test('no sideways scrolling and large enough targets on a phone', async () => {
  for (const width of [360, 390]) {
    const page = await look(daemon.url, {width, height: 780});
    await live(page);
    for (const view of VIEWS) {
      await page.evaluate((to) => { location.hash = to; }, view);
      await page.waitForFunction((to) => document.body.dataset.view === to, view);
      const wide = await page.evaluate(() => document.scrollingElement.scrollWidth);
      assert.ok(wide <= width, view + ' is ' + wide + ' wide on a screen of ' + width);
      const small = await page.$$eval('button, nav button', (list) => list
        .filter((node) => node.offsetParent !== null && (node.offsetHeight < 24 || node.offsetWidth < 24)).map((node) => node.textContent));
      assert.deepEqual(small, [], 'targets below 24 px (WCAG 2.2, 2.5.8) in ' + view);
      if (pictures && width === 390) await page.screenshot({path: join(pictures, 'phone-' + view + '.png')});
    }
    assert.deepEqual(page.complaints, []);
    await page.end();
  }
});

// WCAG 2.2, 1.4.6: 7 to 1. Of every element with text of its own against the colour behind it.
function lowContrast() {
  const parse = (text) => text.match(/[\d.]+/g).map(Number);
  const light = ([r, g, b]) => {
    const part = (c) => (c / 255 <= 0.04045 ? c / 255 / 12.92 : ((c / 255 + 0.055) / 1.055) ** 2.4);
    return 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
  };
  const behind = (node) => {
    for (let at = node; at; at = at.parentElement) {
      const colour = parse(getComputedStyle(at).backgroundColor);
      if (colour.length < 4 || colour[3] === 1) return colour;
    }
    return [255, 255, 255];
  };
  const found = [];
  for (const node of document.querySelectorAll('body *')) {
    const own = [...node.childNodes].some((child) => child.nodeType === 3 && child.textContent.trim());
    if (!own || node.offsetParent === null || node.closest('option, .unseen, .skip')) continue;
    const [a, b] = [light(parse(getComputedStyle(node).color)), light(behind(node))].sort((x, y) => y - x);
    const ratio = (a + 0.05) / (b + 0.05);
    if (ratio < 7) found.push(node.textContent.trim().slice(0, 40) + ' ' + ratio.toFixed(2));
  }
  return found;
}

test('contrast of 7 to 1 in both looks', async () => {
  for (const scheme of ['light', 'dark']) {
    const page = await look(daemon.url, {scheme});
    await live(page);
    for (const view of VIEWS) {
      await page.evaluate((to) => { location.hash = to; }, view);
      await page.waitForFunction((to) => document.body.dataset.view === to, view);
      assert.deepEqual(await page.evaluate(lowContrast), [], scheme + ', ' + view);
      if (pictures) await page.waitForTimeout(1500);
      if (pictures) await page.screenshot({path: join(pictures, 'laptop-' + scheme + '-' + view + '.png')});
    }
    await page.end();
  }
});

test('everything can be reached with the keyboard', async () => {
  const page = await look(daemon.url);
  await live(page);
  const reached = new Set();
  for (let i = 0; i < 120; ++i) {
    await page.keyboard.press('Tab');
    const name = await page.evaluate(() => document.activeElement.id || document.activeElement.dataset.to || document.activeElement.textContent);
    if (name === 'values') {
      await page.keyboard.press('Enter');
      break;
    }
    reached.add(name);
  }
  await page.waitForFunction(() => document.body.dataset.view === 'values');
  for (const name of ['strip-warnings', 'record-name', 'record-stage', 'Start recording', 'mount']) {
    assert.ok(reached.has(name), name + ' was not reached: ' + [...reached].join(', '));
  }
  await page.end();
});

test('the mount view fills the screen and comes back', async () => {
  const page = await look(daemon.url, {width: 844, height: 390, hash: '#figures'});
  await live(page);
  await page.click('#mount');
  await page.waitForSelector('body.mount');
  const inside = await page.$$eval('.figure .number', (list) => list.length === 4 && list.every((node) => {
    const box = node.getBoundingClientRect();
    return box.top >= 0 && box.bottom <= innerHeight && box.right <= innerWidth && node.scrollWidth <= node.clientWidth;
  }) && document.documentElement.scrollHeight <= innerHeight);
  assert.ok(inside, 'every figure is whole');
  assert.ok(await page.$eval('.figure .number', (node) => parseFloat(getComputedStyle(node).fontSize)) >= 56, 'large');
  if (pictures) await page.screenshot({path: join(pictures, 'mount.png')});
  await page.click('#mount');
  await page.waitForSelector('body:not(.mount)');
  assert.deepEqual(page.complaints, []);
  await page.end();
});

test('the page says when the daemon is silent and comes back by itself', async () => {
  const own = await startDaemon('coolant-leak');
  const page = await look(own.url);
  await live(page);
  own.process.kill('SIGSTOP');
  await untilText(page, '#strip-contact', /^No contact with the daemon for \d+ s; what is shown is old\.$/);
  own.process.kill('SIGCONT');
  await live(page);
  await page.end();
  await own.end();
});

test('what is wrong with listening is said, with what to do', async () => {
  const page = await look(daemon.url);
  await live(page);
  assert.ok(await page.isHidden('#problems-box'), 'nothing is wrong with this one');
  await page.end();
  const own = await startDaemon('coolant-leak', [], false);
  const other = await look(own.url);
  await untilText(other, '#problems li', /no definition file is loaded.*Give one with --definitions/);
  assert.deepEqual(other.complaints, []);
  await other.end();
  await own.end();
});

test('words of a definition file are text, not markup', async () => {
  const own = await startDaemon('coolant-leak', ['--definitions', join(process.env.PROOFDRIVE_SOURCE, 'tests/browser/extra.yaml')]);
  const page = await look(own.url);
  await untilText(page, '#warnings-on', /Words with <b>bold<\/b> & "quotes" <img src=x onerror=alert\(1\)>/);
  assert.equal(await page.$$eval('#warnings-on b, #warnings-on img', (list) => list.length), 0);
  assert.deepEqual(page.complaints, []);
  await page.end();
  await own.end();
});

test('the link carries the token, and hides it at once', async () => {
  const page = await openBrowser({signIn: false});
  await page.visit(daemon.url);
  await page.waitForSelector('#sign-in:not([hidden])');
  await page.goto('about:blank');
  await page.visit(daemon.url + '#token=' + daemon.token);
  await live(page);
  assert.equal(await page.evaluate(() => location.href), daemon.url);
  assert.ok(await page.isHidden('#sign-in'));
  await page.end();
});

// A network that takes everything and delivers nothing: no end is ever said.
async function startProxy(to) {
  const connections = [];
  const server = createServer((near) => {
    const far = connect(to);
    for (const [a, b] of [[near, far], [far, near]]) {
      a.on('error', () => {});
      a.on('close', () => b.destroy());
      a.pipe(b);
    }
    connections.push([near, far]);
  });
  await new Promise((done) => server.listen(0, '127.0.0.1', done));
  return {port: server.address().port,
    swallow() {
      for (const [near, far] of connections) {
        near.unpipe(far);
        far.unpipe(near);
        near.resume();
        far.resume();
      }
    },
    end() {
      for (const pair of connections) pair.forEach((one) => one.destroy());
      server.close();
    }};
}

test('the page comes back from a connection that is dead without a word', async () => {
  const proxy = await startProxy(Number(new URL(daemon.url).port));
  const page = await openBrowser({signIn: false});
  await page.visit('http://127.0.0.1:' + proxy.port + '/#token=' + daemon.token);
  await live(page);
  proxy.swallow();
  await page.waitForSelector('body[data-contact="lost"]');
  await live(page);
  proxy.end();
  await page.end();
});

test('with a token the page asks for it once', async () => {
  const own = await startDaemon('coolant-leak', ['--page-token', 'FOLDER/token']);
  const token = own.file('token').trim();
  const page = await look(own.url, {signIn: false});
  await page.waitForSelector('#sign-in:not([hidden])');
  assert.ok(await page.isHidden('#sheets'));
  await page.fill('#token', 'wrong-wrong-wrong');
  await page.click('#sign-in button');
  await untilText(page, '#sign-in-trouble', /this is not the token/);
  await page.fill('#token', token);
  await page.click('#sign-in button');
  await live(page);
  assert.ok(await page.isVisible('#sheets'));
  assert.equal(await page.evaluate(() => document.cookie), '', 'scripts cannot read it');
  await page.reload();
  await live(page);
  await page.end();
  assert.ok(!own.log().includes(token), 'the log does not tell the token');
  await own.end();
});

test('another page cannot use this one', async () => {
  // A page of another origin (another port is another origin) tries to read, to record and to listen.
  const other = await startDaemon('coolant-leak');
  const page = await look(other.url);
  const outcome = await page.evaluate(async (url) => {
    const attempt = async (options) => {
      try {
        return (await fetch(url + (options.path || 'api/record/start'), options)).status;
      } catch {
        return 'blocked';
      }
    };
    const socket = await new Promise((done) => {
      const listening = new WebSocket(url.replace('http', 'ws') + 'api/live');
      listening.onopen = () => done('open');
      listening.onerror = () => done('refused');
    }).catch(() => 'blocked');
    return [await attempt({path: 'api/now'}), await attempt({method: 'POST', mode: 'no-cors', body: '{}'}), socket];
  }, daemon.url).catch((error) => error.message);
  assert.deepEqual(outcome, ['blocked', 'blocked', 'refused']);
  await page.end();
  await other.end();
  const now = await (await fetch(daemon.url + 'api/now', {headers: {Authorization: 'Bearer ' + daemon.token}})).json();
  assert.equal(now.recording, null);
});
