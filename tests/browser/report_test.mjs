// Reports in a real browser: report_test.mjs FILE.html... Screenshots and PDF files are left in the
// working folder to be looked at.
import assert from 'node:assert/strict';
import { basename, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { launch, watch } from './chromium.mjs';

const PHONE = { width: 390, height: 844 };
const LAPTOP = { width: 1366, height: 768 };
// Width of the paper less the margins of report.css, at 96 pixels per inch.
const PAPER = { A4: (210 - 26) / 25.4 * 96, Letter: (215.9 - 26) / 25.4 * 96 };

// Inks of a plot: pixels of a canvas that are not transparent.
const inkOf = (canvas) => {
  const data = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height).data;
  let ink = 0;
  for (let i = 3; i < data.length; i += 4) if (data[i] > 0) ink++;
  return ink;
};

async function widest(page) {
  return page.evaluate(() => {
    let worst = { right: 0, what: '' };
    for (const element of document.querySelectorAll('main *')) {
      if (element.closest('.scroll') && !matchMedia('print').matches) continue;
      const box = element.getBoundingClientRect();
      if (box.width > 0 && box.right > worst.right) {
        worst = { right: box.right, what: element.tagName + '.' + element.className };
      }
    }
    return worst;
  });
}

// What a comparison of two sessions with answers of control units must show, each with a table.
const TABLES = ['Control units', 'Described, and not as described any more', 'Traffic',
  'Signals where the car did the same', 'Checks'];

async function checkTables(page) {
  for (const title of TABLES) {
    const rows = await page.evaluate((wanted) => {
      const heading = [...document.querySelectorAll('#changes h3')]
        .find((one) => one.textContent === wanted);
      let next = heading?.nextElementSibling;
      while (next && next.tagName !== 'H3' && !next.querySelector('table')) {
        next = next.nextElementSibling;
      }
      return next?.querySelectorAll('tbody tr').length ?? 0;
    }, title);
    assert.ok(rows > 0, `${title}: a table with rows`);
  }
  const codes = await page.locator('article .id', { hasText: 'trouble code' }).count();
  assert.ok(codes > 3, `${codes} trouble codes have a verdict`);
}

// On a screen every part can be reached from the top.
async function checkContents(page) {
  assert.ok(await page.locator('nav.contents').isVisible(), 'there is a table of contents');
  const [links, parts] = await page.evaluate(() => [
    [...document.querySelectorAll('nav.contents a')].map((one) => one.hash),
    [...document.querySelectorAll('main > section')].map((one) => '#' + one.id)]);
  assert.deepEqual(links, parts, 'a link for every part');
  assert.ok(parts.length > 3, `${parts.length} parts`);
}

async function check(browser, file) {
  const name = basename(file, '.html');
  const url = pathToFileURL(resolve(file)).href;
  for (const [label, viewport] of [['phone', PHONE], ['laptop', LAPTOP]]) {
    const page = await browser.newPage({ viewport });
    const problems = watch(page, (request) => request === url || request.startsWith('data:'));
    await page.goto(url);
    assert.ok((await page.locator('h1').innerText()).length > 10, 'the answer is there');
    const places = await page.locator('.plot').count();
    assert.equal(Number(await page.evaluate(() => document.documentElement.dataset.plots)), places);
    assert.ok(places > 0, 'there are plots');
    for (const plot of await page.locator('.plot').all()) {
      const ink = await plot.locator('canvas').first().evaluate(inkOf);
      assert.ok(ink > 200, `${await plot.getAttribute('id')} is drawn (${ink} pixels)`);
    }
    const edge = await widest(page);
    assert.ok(edge.right <= viewport.width + 0.5, `${label}: ${edge.what} ends at ${edge.right}`);
    const scroll = await page.evaluate(() => document.documentElement.scrollWidth);
    assert.ok(scroll <= viewport.width, `${label}: the page is ${scroll} wide`);
    if (name === 'comparison') await checkTables(page);
    await checkContents(page);
    await page.screenshot({ path: `${name}-${label}.png`, fullPage: true });
    assert.deepEqual(problems, [], `${name} on a ${label}`);
    await page.close();
  }
}

// Dragging across one plot shows the same stretch in the others of its recording, and back.
async function checkZoom(browser, file) {
  const page = await browser.newPage({ viewport: LAPTOP });
  await page.goto(pathToFileURL(resolve(file)).href);
  const labels = () => page.locator('.plot').first().locator('.dygraph-axis-label-x').allInnerTexts();
  const before = await labels();
  const box = await page.locator('.plot').first().boundingBox();
  await page.locator('.plot').first().scrollIntoViewIfNeeded();
  const now = await page.locator('.plot').first().boundingBox();
  await page.mouse.move(now.x + box.width * .4, now.y + 40);
  await page.mouse.down();
  await page.mouse.move(now.x + box.width * .6, now.y + 40, { steps: 5 });
  await page.mouse.up();
  assert.notDeepEqual(await labels(), before, 'dragging looks closer');
  await page.locator('button.reset').first().click();
  assert.deepEqual(await labels(), before, 'the button shows all again');
  await page.close();
}

async function checkPaper(browser, file) {
  const name = basename(file, '.html');
  for (const [format, width] of Object.entries(PAPER)) {
    const page = await browser.newPage({ viewport: { width: Math.floor(width), height: 1000 } });
    await page.emulateMedia({ media: 'print' });
    await page.goto(pathToFileURL(resolve(file)).href);
    const edge = await widest(page);
    assert.ok(edge.right <= width + 1, `${format}: ${edge.what} ends at ${edge.right} of ${width}`);
    assert.ok(!await page.locator('nav.contents').isVisible(), 'no links on paper');
    const drawings = await page.locator('svg.on-paper').count();
    assert.equal(drawings, await page.locator('.plot').count());
    const pdf = await page.pdf({ format, path: `${name}-${format}.pdf` });
    assert.ok(pdf.length > 20000);
    const size = /\/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]/.exec(pdf.toString('latin1'));
    const inches = { A4: [8.27, 11.69], Letter: [8.5, 11] }[format];
    assert.ok(Math.abs(size[1] / 72 - inches[0]) < .02 && Math.abs(size[2] / 72 - inches[1]) < .02);
    await page.close();
  }
}

const browser = await launch();
try {
  const files = process.argv.slice(2);
  assert.ok(files.length > 0, 'usage: report_test.mjs FILE.html...');
  for (const file of files) {
    await check(browser, file);
    await checkZoom(browser, file);
    await checkPaper(browser, file);
    console.log(`${file}: as it should be`);
  }
} finally {
  await browser.close();
}
