// What all journeys share: the page in a real Chromium, sizes, faults, and what must hold of it at any moment. Nothing may be asked
// for, no script may fail, nothing may be wider than the window.

import { mkdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join, resolve } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

export const file = pathToFileURL(resolve(process.argv[2] ?? '')).href;
export const shots = process.argv[3] ? resolve(process.argv[3]) : null;
if (shots) mkdirSync(shots, { recursive: true });
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
export const faults = [];
/** How long each opening took to the room's heading, milliseconds. */
export const opened = [];
const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu', '--enable-precise-memory-info'] });

export const SIZES = { projector: { width: 1920, height: 1080 }, desktop: { width: 1280, height: 800 }, phone: { width: 360, height: 740 } };
const SLOW = Number(process.env.SLOW_MS ?? 240_000);
export const scenarios = fileURLToPath(new URL('../../../scenarios', import.meta.url));
let place = '';
let named = false;
/** Names the place that faults are told of; else `open` does. */
export const at = (where) => { [place, named] = [where, true]; };

export const check = (holds, what) => { if (!holds) faults.push(`${place}: ${what}`); };

/** The page at a room, in a size. */
export async function open(size, hash = '', { from = file, ...more } = {}) {
  if (!named) place = `${size} ${hash}`;
  const context = await browser.newContext({ viewport: SIZES[size], hasTouch: size === 'phone', acceptDownloads: true, locale: 'en-US', bypassCSP: true, ...more });
  const page = await context.newPage();
  page.setDefaultTimeout(SLOW);
  page.on('request', (r) => { if (!/^(file|data|blob):/.test(r.url())) faults.push(`${place}: asks for ${r.url()}`); });
  page.on('pageerror', (e) => faults.push(`${place}: script error: ${e.message}`));
  page.on('console', (m) => { if (m.type() === 'error') faults.push(`${place}: console: ${m.text()}`); });
  const start = Date.now();
  await page.goto(`${from}#${hash}`);
  await page.waitForSelector('main h2');
  opened.push(Date.now() - start);
  return page;
}

/** No fault that axe-core finds, nothing wider than the window, no target too small for a finger, no text left out. */
export async function audit(page, what) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => window.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'best-practice'] }));
  for (const v of found.violations) faults.push(`${place}: ${what}: axe ${v.id}: ${v.nodes.slice(0, 2).map((n) => n.html.slice(0, 140)).join(' | ')}`);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  check(wide <= 0, `${what}: ${wide} px wider than the window`);
  const small = await page.evaluate(() => [...document.querySelectorAll('main button, main select, main summary, main input:not([type=checkbox]), nav a, label.tick')]
    .filter((e) => e.getClientRects().length > 0 && !e.matches('.small') && e.getBoundingClientRect().height < 43.5).map((e) => e.outerHTML.slice(0, 80)));
  check(small.length === 0, `${what}: touch target below 44 px: ${small[0]}`);
  const text = await page.locator('body').innerText();
  const hole = text.match(/\b(?:page|summer|figure)\.[a-z]+[.\w-]*|\{\w+\}|NaN|undefined|Infinity/);
  check(hole === null, `${what}: "${hole?.[0]}" stands where a text or number should`);
  if (shots) await page.screenshot({ path: join(shots, `${place}-${what}.png`.replaceAll(/[ ?=]/g, '-')), fullPage: true });
}

/** No English is left on a Spanish page, but for names of plans that stand in the yard's file. */
export async function spanish(page, names = /(?!)/g) {
  await page.getByLabel('Language').selectOption('es');
  await page.getByLabel('Idioma').waitFor();
  const text = (await page.locator('main').innerText()).replaceAll(names, '');
  const left = text.match(/.{0,30}\b(the|with|summers|damage|each|lock|guess)\b.{0,30}/i);
  check(!left, `English is left in Spanish: ${left?.[0]}`);
}

/** The text of a file that a button gives. */
export async function given(page, button) {
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: button, exact: true }).click()]);
  return { name: download.suggestedFilename(), path: await download.path() };
}

export async function pdf(page, name, format) {
  const bytes = await page.pdf({ format, ...(shots ? { path: join(shots, `${name}-${format}.pdf`) } : {}) });
  return (bytes.toString('latin1').match(/\/Type\s*\/Page[^s]/g) ?? []).length;
}

/** Closes the browser and tells what was found. */
export async function end(what) {
  await browser.close();
  if (faults.length) { console.error(`\n${[...new Set(faults)].join('\n')}\n${faults.length} faults`); process.exit(1); }
  console.log(`${what}: no fault`);
}
