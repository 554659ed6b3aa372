// Opens every page of a folder of results in a real Chromium: no violation found by axe-core at desktop and phone size, no
// network request, no script error, no sideways scrolling of the whole page, touch targets of 44 px, pages of the
// printed sheets counted on Letter and A4, every page in the language asked for, and the moving picture driven by keyboard.
// Usage: node check.mjs FOLDER [LANGUAGE [FOLDER FOR PICTURES]]

import { readdirSync, readFileSync, statSync, mkdirSync, writeFileSync } from 'node:fs';
import { join, relative, resolve } from 'node:path';
import { createRequire } from 'node:module';
import { pathToFileURL } from 'node:url';
import puppeteer from 'puppeteer-core';

const folder = resolve(process.argv[2] ?? '');
const language = process.argv[3] ?? 'en';
const shots = process.argv[4] ? resolve(process.argv[4]) : null;
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const sheets = { 'handout.html': 2, 'class/prediction-sheet.html': 1, 'class/student-sheet.html': 2, 'class/trap-game.html': 2, 'poll.html': 1 };
const sizes = { desktop: { width: 1200, height: 900 }, phone: { width: 360, height: 740, isMobile: true, hasTouch: true } };

function pages(at) {
  return readdirSync(at).sort().flatMap((name) => {
    const path = join(at, name);
    if (statSync(path).isDirectory()) return pages(path);
    return path.endsWith('.html') ? [path] : [];
  });
}

const faults = [];
const fault = (page, what) => { faults.push(`${page}: ${what}`); };
const all = pages(folder);
if (all.length === 0) { console.error(`${folder}: no pages; run "lurefield report" first`); process.exit(2); }
if (shots) mkdirSync(shots, { recursive: true });

const browser = await puppeteer.launch({
  executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium',
  args: ['--no-sandbox', '--disable-gpu'],
});

async function open(path, name, size, bypass = false) {
  const page = await browser.newPage();
  await page.setViewport(size);
  page.on('request', (r) => { if (!r.url().startsWith('file:') && !r.url().startsWith('data:')) fault(name, `asks the network for ${r.url()}`); });
  page.on('pageerror', (e) => fault(name, `script error: ${e.message}`));
  page.on('console', (m) => { if (m.type() === 'error') fault(name, `console: ${m.text()}`); });
  if (bypass) await page.setBypassCSP(true); // axe itself is a script; the page's own policy forbids others
  await page.goto(pathToFileURL(path).href, { waitUntil: 'load' });
  return page;
}

async function audit(page, name, size) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => window.axe.run(document, {
    runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'best-practice'],
  }));
  for (const v of found.violations) {
    fault(name, `${size}: axe ${v.id}: ${v.help}: ${v.nodes.slice(0, 3).map((n) => n.html.slice(0, 120)).join(' | ')}`);
  }
  return found.passes.length;
}

async function measure(page, name, size) {
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  if (wide > 1) fault(name, `${size}: ${wide} px wider than the window`);
  const small = await page.evaluate(() => [...document.querySelectorAll('button, select, summary, label.pick, [contenteditable]')]
    .filter((e) => e.getClientRects().length > 0)
    .filter((e) => { const r = e.getBoundingClientRect(); return r.height < 43.5 || r.width < 43.5; })
    .map((e) => e.outerHTML.slice(0, 80)));
  for (const e of small) fault(name, `${size}: touch target below 44 px: ${e}`);
}

// What is slid aside on a phone must be whole on a desktop and on paper.
async function whole(page, name, where) {
  const cut = await page.evaluate(() => [...document.querySelectorAll('.scroll')]
    .filter((e) => e.getClientRects().length > 0 && e.scrollWidth - e.clientWidth > 1)
    .map((e) => `${e.getAttribute('aria-label')} (${e.scrollWidth - e.clientWidth} px)`));
  for (const e of cut) fault(name, `${where}: cut at its side: ${e}`);
}

async function speaks(page, name) {
  const said = await page.evaluate(() => document.documentElement.lang);
  if (said !== language) fault(name, `is in "${said}", not in "${language}"`);
}

async function print(path, name) {
  const counts = {};
  for (const format of ['Letter', 'A4']) {
    const page = await open(path, name, sizes.desktop);
    const pdf = Buffer.from(await page.pdf({ format, printBackground: true, preferCSSPageSize: false }));
    counts[format] = (pdf.toString('latin1').match(/\/Type\s*\/Page[^s]/g) ?? []).length;
    if (shots) writeFileSync(join(shots, `${name.replaceAll('/', '-')}.${format}.pdf`), pdf);
    const most = sheets[name.replace(/^report\//, '')];
    if (most && counts[format] > most) fault(name, `${format}: prints on ${counts[format]} pages, more than ${most}`);
    await page.close();
  }
  return counts;
}

async function keyboard(path, name) {
  const page = await open(path, name, sizes.desktop);
  await page.emulateMediaFeatures([{ name: 'prefers-reduced-motion', value: 'reduce' }]);
  await page.reload({ waitUntil: 'load' });
  const state = () => page.evaluate(() => ({
    playing: document.getElementById('play').getAttribute('aria-pressed'),
    status: document.getElementById('status').textContent,
    shown: [...document.querySelectorAll('#stage g[transform][visibility="visible"]')].map((g) => g.getAttribute('transform')).join(),
    counts: ['smelled0', 'meals0', 'caught0', 'smelled1', 'meals1', 'caught1'].map((id) => document.getElementById(id).textContent).join(),
  }));
  const first = await state();
  if (first.playing !== 'false') fault(name, 'plays although less motion is asked for');
  if (!first.status) fault(name, 'does not say why it waits');
  for (let i = 0; i < 8; i++) await page.keyboard.press('ArrowRight');
  const stepped = await state();
  if (stepped.shown === first.shown) fault(name, 'right arrow does not step');
  await page.keyboard.press('Space');
  await new Promise((r) => setTimeout(r, 400));
  if ((await state()).playing !== 'true') fault(name, 'space does not play');
  await page.keyboard.press('Space');
  if ((await state()).playing !== 'false') fault(name, 'space does not stop');
  await page.keyboard.press('Home');
  if ((await state()).shown !== first.shown) fault(name, 'Home does not start again');
  // To the end: the counts are those of the table.
  for (let i = 0; i < 400; i++) await page.keyboard.press('ArrowRight');
  const end = await state();
  const table = await page.evaluate(() => { const cells = [...document.querySelectorAll('main table tbody td')].map((c) => c.textContent); return [0, 2, 4, 1, 3, 5].map((i) => cells[i]).join(); });
  if (end.counts !== table) fault(name, `counts at the end ${end.counts} are not those of the table ${table}`);
  const story = await page.evaluate(() => {
    const follow = document.getElementById('follow');
    const words = JSON.parse(document.getElementById('data').textContent).words;
    const end = words['summer.insect.ate'].split('{n}')[1];
    const ate = [...follow.options].find((o) => o.textContent.endsWith(end)) ?? follow.options[1];
    follow.value = ate.value; follow.dispatchEvent(new Event('change'));
    return ate.textContent;
  });
  for (let i = 0; i < 400; i++) await page.keyboard.press('ArrowRight');
  const told = await page.evaluate(() => document.getElementById('story1').textContent);
  if (!told) fault(name, `tells no story of ${story}`);
  if (shots) await page.screenshot({ path: join(shots, 'follow.png') });
  await page.close();
  return `${story}: ${told}`;
}

for (const path of all) {
  const name = relative(folder, path);
  let passes = 0;
  for (const [size, view] of Object.entries(sizes)) {
    const page = await open(path, name, view, true);
    passes += await audit(page, name, size);
    await measure(page, name, size);
    await speaks(page, name);
    if (size === 'desktop') {
      await whole(page, name, size);
      // Letter and A4 less their margins, at 96 px an inch.
      await page.emulateMediaType('print');
      for (const width of [710, 688]) {
        await page.setViewport({ width, height: 900 });
        await whole(page, name, `paper ${width} px wide`);
      }
      await page.emulateMediaType('screen');
      await page.setViewport(view);
    }
    if (shots) await page.screenshot({ path: join(shots, `${name.replaceAll('/', '-')}.${size}.png`), fullPage: true });
    await page.close();
  }
  // Text at 200 %.
  const zoomed = await open(path, name, { width: 600, height: 450 });
  await measure(zoomed, name, '200 %');
  await zoomed.close();
  const printed = await print(path, name);
  console.log(`${name}: ${passes} checks passed, prints on ${printed.Letter} Letter and ${printed.A4} A4 pages`);
  if (name.endsWith('one-summer.html')) console.log(`  ${await keyboard(path, name)}`);
}
await browser.close();
if (faults.length) { console.error(`\n${faults.join('\n')}\n${faults.length} faults`); process.exit(1); }
console.log(`${all.length} pages, no fault`);
