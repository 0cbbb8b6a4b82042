// Chromium as every test here starts it, and what a page must never do.
import { chromium } from 'playwright-core';

export function launch() {
  return chromium.launch({
    executablePath: process.env.PROOFDRIVE_CHROMIUM || '/usr/bin/chromium',
    args: ['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
      '--disable-background-networking', '--disable-component-update', '--disable-sync'],
  });
}

// Messages of the console, exceptions, and requests that `allowed(url)` does not allow.
export function watch(page, allowed) {
  const problems = [];
  page.on('console', (message) => {
    if (['error', 'warning'].includes(message.type())) problems.push('console: ' + message.text());
  });
  page.on('pageerror', (error) => problems.push('exception: ' + error));
  page.on('request', (request) => {
    if (!allowed(request.url())) problems.push('request: ' + request.url());
  });
  return problems;
}
