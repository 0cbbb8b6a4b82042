// A daemon with the bench vehicle, and a browser that looks at its page.
import {spawn} from 'node:child_process';
import {mkdtempSync, readFileSync, rmSync} from 'node:fs';
import {tmpdir} from 'node:os';
import {join} from 'node:path';
import {setTimeout as sleep} from 'node:timers/promises';
import {chromium} from 'playwright-core';

const source = process.env.PROOFDRIVE_SOURCE;
const build = process.env.PROOFDRIVE_BUILD;
export const PATIENCE = 60000;  // a busy machine may be slow; what is waited for ends it earlier

// What a failed test left running would keep node from ending.
const running = new Set();
export async function endAll() {
  for (const one of [...running]) await one.end();
}

const tokens = new Map();  // of the pages, by their addresses

// The socket listens a moment before it answers.
async function tokenOf(socket) {
  const status = await tool('status', '--socket', socket, '--json');
  return JSON.parse(status.out).page.match(/#token=(.*)$/)[1];
}

// {url, token, folder, process, log(), end()}
export async function startDaemon(bench, more = [], described = true) {
  const folder = mkdtempSync(join(tmpdir(), 'proofdrive-page-'));
  const child = spawn(join(build, 'bin/proofdrived'), ['--source', 'bench:' + bench,
    ...(described ? ['--definitions', join(source, 'decoders/library/bramble-seven.yaml')] : []), '--sessions', folder,
    '--socket', join(folder, 'socket'), '--page', '127.0.0.1:0', ...more.map((word) => word.replace('FOLDER', folder))]);
  let log = '';
  child.stderr.on('data', (text) => { log += text; });
  const ended = new Promise((done) => child.on('exit', done));
  for (let waited = 0; !/The live page is at (\S+)/.test(log); waited += 20) {
    if (waited > PATIENCE || child.exitCode !== null) throw new Error('the daemon did not start: ' + log);
    await sleep(20);
  }
  const url = log.match(/The live page is at (\S+)/)[1];
  const token = await tokenOf(join(folder, 'socket'));
  tokens.set(url, token);
  const daemon = {url, token, folder, process: child, log: () => log,
    file: (name) => readFileSync(join(folder, name), 'utf8'),
    async end() {
      running.delete(daemon);
      child.kill('SIGCONT');
      child.kill('SIGTERM');
      await ended;
      rmSync(folder, {recursive: true, force: true});
    }};
  running.add(daemon);
  return daemon;
}

export function tool(...words) {
  return new Promise((done) => {
    const child = spawn(join(build, 'bin/proofdrive'), words);
    let out = '';
    child.stdout.on('data', (text) => { out += text; });
    child.stderr.on('data', (text) => { out += text; });
    child.on('exit', (code) => done({code, out}));
  });
}

const ARGUMENTS = ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
  '--disable-background-networking', '--disable-component-update', '--disable-sync'];

// A page in a browser of its own; `page.complaints` collects what the browser complains of and every
// request that would leave the daemon's address.
export async function look(url, options = {}) {
  const page = await openBrowser(options);
  await page.visit(url + (options.hash || ''));
  return page;
}

export async function openBrowser({width = 1280, height = 800, scheme = 'light', signIn = true} = {}) {
  const profile = mkdtempSync(join(tmpdir(), 'proofdrive-browser-'));
  const browser = await chromium.launchPersistentContext(profile, {executablePath: '/usr/bin/chromium', headless: true,
    args: ARGUMENTS, viewport: {width, height}, colorScheme: scheme});
  const page = browser.pages()[0];
  page.setDefaultTimeout(PATIENCE);
  page.complaints = [];
  let url = 'about:blank';
  page.on('console', (message) => {
    if (['error', 'warning'].includes(message.type()) || message.text().includes('Content Security')) page.complaints.push(message.text());
  });
  page.on('pageerror', (error) => page.complaints.push(error.message));
  page.on('request', (request) => {
    if (!request.url().startsWith(url)) page.complaints.push('asked elsewhere: ' + request.url());
  });
  page.on('websocket', (socket) => {
    if (!socket.url().startsWith(url.replace('http', 'ws'))) page.complaints.push('asked elsewhere: ' + socket.url());
  });
  page.visit = async (to) => {
    url = to.replace(/#.*/, '');
    if (!signIn || !tokens.has(url)) return page.goto(to);
    await page.goto(url + '#token=' + tokens.get(url));
    await page.waitForFunction(() => location.hash === '');
    return page.evaluate((hash) => { location.hash = hash; }, to.slice(url.length));
  };
  running.add(page);
  page.end = async () => {
    running.delete(page);
    await browser.close();
    rmSync(profile, {recursive: true, force: true});
  };
  return page;
}

export const live = (page) => page.waitForSelector('body[data-contact="live"]');

// Waits until `text` of the element satisfies `test`.
export async function untilText(page, selector, test) {
  const handle = await page.waitForFunction(([css, pattern]) => {
    const node = document.querySelector(css);
    return node && new RegExp(pattern).test(node.textContent) ? node.textContent : false;
  }, [selector, test.source]);
  return handle.jsonValue();
}
