// What is taken away: words, pages to print, picture, data, and the page itself with the yard in it, which opens again. The
// pages are those that the program writes. Usage: LUREFIELD=PROGRAM node away.mjs PAGE.html [FOLDER FOR PICTURES]

import { execFileSync } from 'node:child_process';
import { copyFileSync, mkdtempSync, readFileSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { audit, check, end, given, open, pdf, SIZES, spanish } from './frame.mjs';

async function journey(size) {
  const page = await open(size, 'yard', { permissions: ['clipboard-read', 'clipboard-write'] });
  await page.getByLabel('Ready yards').selectOption('backyard-pears-stink-bug');
  await page.waitForFunction(() => document.querySelector('.masthead').textContent.includes('pear'));
  await page.getByRole('link', { name: 'Take away' }).click();
  await audit(page, 'start');
  await page.getByRole('button', { name: 'Work out all plans' }).click();
  // A first look soon, which stays when the rest is stopped.
  const told = () => document.querySelector('textarea')?.value.length > 200;
  await page.waitForFunction(told);
  const stop = page.getByRole('button', { name: 'Stop here' });
  if (size === 'phone') {
    await stop.click();
    check(await page.evaluate(told), 'the first look stays');
    await page.getByRole('button', { name: 'Work out all plans' }).click();
  }
  await stop.waitFor({ state: 'detached' });
  await page.waitForFunction(told);
  const sheet = page.frameLocator('.sheets iframe');
  await sheet.locator('.lead').waitFor();
  await audit(page, 'found');
  const words = await page.locator('textarea').inputValue();
  const n = words.split(/\s+/).length;
  check(n >= 80 && n <= 160, `${n} words for the help desk`);
  await page.getByRole('button', { name: 'Copy', exact: true }).click();
  await page.waitForFunction(() => document.querySelector('.bar [role=status]').textContent.length > 0);
  check(await page.evaluate(() => navigator.clipboard.readText()).then((text) => text.replaceAll('\r', ''), () => words) === words, 'the words are copied');
  const verdict = await sheet.locator('.lead').textContent();
  await page.getByLabel('About which plan').selectOption({ index: 1 });
  await page.waitForFunction((old) => document.querySelector('textarea').value !== old && document.querySelector('textarea').value.length > 200, words);
  await page.waitForFunction((old) => {
    const lead = document.querySelector('.sheets iframe')?.contentDocument?.querySelector('.lead');
    return lead && lead.textContent !== old;
  }, verdict);
  await page.getByLabel('About which plan').selectOption({ index: 0 });
  await page.waitForFunction((old) => document.querySelector('.sheets iframe')?.contentDocument?.querySelector('.lead')?.textContent === old, verdict);
  const fits = await page.locator('.sheets iframe').evaluate((frame) => [frame.contentDocument.documentElement.scrollHeight, frame.clientHeight]);
  check(fits[0] <= fits[1], `the page in the frame is ${fits[0]} high, the frame ${fits[1]}`);
  // Picture and data.
  const svg = readFileSync((await given(page, 'Picture, SVG')).path, 'utf8');
  check(/^<svg[^>]+xmlns=/.test(svg) && !/class=|href=|url\(&quot;file/.test(svg), 'an SVG that needs nothing beside it');
  const alone = await page.context().newPage();
  await alone.setContent(svg);
  check(await alone.locator('svg circle').count() > 20, 'the SVG draws the plants');
  await alone.close();
  const png = readFileSync((await given(page, 'Picture, PNG')).path);
  check(png.subarray(1, 4).toString() === 'PNG' && png.length > 5000, 'a PNG');
  const csv = readFileSync((await given(page, 'Data, CSV')).path, 'utf8');
  check(csv.split('\n').length > 5, 'data as CSV');
  const json = readFileSync((await given(page, 'Data, JSON')).path, 'utf8');
  // The same bytes as asking the engine by script for as many summers.
  const summers = JSON.parse(json).summers;
  check((await page.locator('pre').textContent()).includes(`--summers ${summers}`), 'the line says how many summers');
  const yard = readFileSync((await given(page, 'Save this yard')).path, 'utf8');
  if (size === 'desktop') {
    const again = await page.evaluate(([text, most]) => window.lurefield.run(text, { summers: most }), [yard, summers]);
    check(again['summary.csv'] === csv, 'as many summers by script give the same data');
  }
  // Pages to print.
  const kinds = await page.getByLabel('Which page').locator('option').allTextContents();
  check(['Handout', 'Teacher page', 'Student sheet'].every((kind) => kinds.some((k) => k.includes(kind))), `pages: ${kinds}`);
  await page.evaluate(() => { document.querySelector('.sheets iframe').contentWindow.print = () => { window.printed = true; }; });
  await page.getByRole('button', { name: 'Print this page' }).click();
  check(await page.evaluate(() => window.printed), 'the page in the frame is printed, not the one around it');
  const handout = await given(page, 'Save this page');
  const made = readFileSync(handout.path, 'utf8');
  if (size === 'desktop') {
    const folder = mkdtempSync(join(tmpdir(), 'page-'));
    writeFileSync(join(folder, 'yard.json'), yard);
    const program = (...args) => execFileSync(process.env.LUREFIELD, args, { cwd: folder, stdio: ['ignore', 'ignore', 'inherit'] });
    program('run', 'yard.json', '--summers', String(summers), '--out', 'out', '--quiet');
    program('report', '--from', 'out', '--product', 'handout', '--product', 'class', '--quiet');
    const same = (text) => text.replace(/<p>[^<]*<span class="repeat">.*?<\/span><\/p>/, '').trim();
    check(same(made) === same(readFileSync(join(folder, 'out/report/handout.html'), 'utf8')), 'the handout is the program\'s');
    await page.getByLabel('Which page').selectOption('class/teacher-page.html');
    const teacher = readFileSync((await given(page, 'Save this page')).path, 'utf8');
    check(same(teacher) === same(readFileSync(join(folder, 'out/report/class/teacher-page.html'), 'utf8')), 'the teacher\'s page is the program\'s');
    const alone = await page.context().newPage();
    await alone.setContent(made);
    for (const format of ['Letter', 'A4']) {
      const pages = await pdf(alone, 'handout', format);
      check(pages <= 2, `the handout prints on ${pages} ${format} pages`);
    }
    await alone.close();
  }
  // The page with the yard: opens under its own policy, with the same yard, and runs.
  const saved = join(mkdtempSync(join(tmpdir(), 'page-')), 'yard.html');
  copyFileSync((await given(page, 'Save this page with the yard')).path, saved);
  if (size !== 'phone') await spanish(page, /trap (at|in) the [a-z ]+|no trap|pears|tomatoes/gi);
  await page.context().close();
  const reopened = await open(size, 'away', { from: pathToFileURL(saved).href, bypassCSP: false });
  const back = readFileSync((await given(reopened, 'Save this yard')).path, 'utf8');
  check(back === yard, 'the saved page holds the yard');
  const twice = join(mkdtempSync(join(tmpdir(), 'page-')), 'yard.html');
  copyFileSync((await given(reopened, 'Save this page with the yard')).path, twice);
  check(readFileSync(twice, 'utf8') === readFileSync(saved, 'utf8'), 'saving again gives the same page');
  await reopened.context().close();
}

/** A yard whose names would end the script that holds it. */
async function hostile() {
  const page = await open('desktop', 'yard');
  const yard = JSON.parse(readFileSync((await given(page, 'Save this yard')).path, 'utf8'));
  yard.title = '</script><script>window.hit=1</script><!--<img src=x onerror="window.hit=2">';
  await page.setInputFiles('input[type=file]', { name: 'wild.json', mimeType: 'application/json', buffer: Buffer.from(JSON.stringify(yard)) });
  await page.waitForFunction(() => document.querySelector('.masthead').textContent.includes('onerror'));
  await page.getByRole('link', { name: 'Take away' }).click();
  const saved = join(mkdtempSync(join(tmpdir(), 'page-')), 'wild.html');
  copyFileSync((await given(page, 'Save this page with the yard')).path, saved);
  await page.context().close();
  const reopened = await open('desktop', 'away', { from: pathToFileURL(saved).href, bypassCSP: false });
  check((await reopened.locator('.masthead').textContent()).includes('onerror'), 'the title is kept as text');
  // Its pages keep their look under the page's own policy, and run nothing.
  await reopened.getByRole('button', { name: 'Work out all plans' }).click();
  const sheet = reopened.frameLocator('.sheets iframe');
  await sheet.locator('.lead').waitFor();
  check((await sheet.locator('h1').textContent()).includes('onerror'), 'the title of a page is kept as text');
  check(await sheet.locator('table').first().evaluate((table) => getComputedStyle(table).borderCollapse) === 'collapse', 'a page has lost its style');
  check(await reopened.evaluate(() => window.hit) === undefined, 'a name ran');
  await reopened.context().close();
}

for (const size of Object.keys(SIZES)) await journey(size);
await hostile();
await end('away');
