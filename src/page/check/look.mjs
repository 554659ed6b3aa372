// What the journeys through single rooms share: the page in a real Chromium, and what must hold of it at any moment.

import { mkdirSync, readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { join, resolve } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { chromium } from 'playwright-core';

const file = pathToFileURL(resolve(process.argv[2] ?? '')).href;
const shots = process.argv[3] ? resolve(process.argv[3]) : null;
if (shots) mkdirSync(shots, { recursive: true });
const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const SLOW = 120_000;

export const scenarios = fileURLToPath(new URL('../../../scenarios', import.meta.url));
export const sizes = { desktop: { width: 1280, height: 800 }, phone: { width: 360, height: 740 } };
const faults = [];
let place = '';
export const at = (where) => { place = where; };
export const check = (holds, what) => { if (!holds) faults.push(`${place}: ${what}`); };

const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? '/usr/bin/chromium', args: ['--no-sandbox', '--disable-gpu'] });

export async function open(size, hash, more = {}) {
  const context = await browser.newContext({ viewport: sizes[size], hasTouch: size === 'phone', locale: 'en-US', bypassCSP: true, ...more });
  const page = await context.newPage();
  page.setDefaultTimeout(SLOW);
  page.on('request', (r) => { if (!/^(file|data|blob):/.test(r.url())) faults.push(`${place}: asks for ${r.url()}`); });
  page.on('pageerror', (e) => faults.push(`${place}: script error: ${e.message}`));
  page.on('console', (m) => { if (m.type() === 'error') faults.push(`${place}: console: ${m.text()}`); });
  await page.goto(`${file}#${hash}`);
  await page.waitForSelector('main h2');
  return page;
}

/** No fault that axe-core finds, nothing wider than the window, no target too small for a finger, no text left out. */
export async function audit(page, what) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => window.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'best-practice'] }));
  for (const v of found.violations) faults.push(`${place}: ${what}: axe ${v.id}: ${v.nodes.slice(0, 2).map((n) => n.html.slice(0, 140)).join(' | ')}`);
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  check(wide <= 0, `${what}: ${wide} px wider than the window`);
  const small = await page.evaluate(() => [...document.querySelectorAll('main button, main select, main summary, nav a')]
    .filter((e) => e.getClientRects().length > 0 && e.getBoundingClientRect().height < 43.5).map((e) => e.outerHTML.slice(0, 80)));
  check(small.length === 0, `${what}: touch target below 44 px: ${small[0]}`);
  const text = await page.locator('body').innerText();
  const hole = text.match(/\b(?:page|summer|figure)\.[a-z]+[.\w-]*|\{\w+\}|NaN|undefined|Infinity/);
  check(hole === null, `${what}: "${hole?.[0]}" stands where a text or number should`);
  if (shots) await page.screenshot({ path: join(shots, `${place}-${what}.png`.replaceAll(' ', '-')), fullPage: true });
}

/** Closes the browser and tells what was found. */
export async function end(of) {
  await browser.close();
  if (faults.length > 0) {
    console.error(`\n${[...new Set(faults)].join('\n')}\n${faults.length} faults`);
    process.exit(1);
  }
  console.log(`${of}: no fault`);
}
