// The room of the map in a real Chromium, on a desktop and on a phone: it grows while it is looked at, any place has its numbers
// by pointer and by keyboard, it stops and goes on; its files are those of the program where LUREFIELD names it.
// Usage: node map.mjs PAGE.html [FOLDER FOR PICTURES]

import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { at, audit, check, end, open, scenarios } from './frame.mjs';

const summers = async (page) => Number((await page.locator('.rests').textContent()).match(/\d+/)?.[0] ?? 0);
const heading = (page) => page.locator('section.place h3').textContent();
const feet = (text) => text.match(/\d+/g).map(Number);

async function looking(size) {
  at(`${size} map`);
  const page = await open(size, 'map');
  const start = Date.now();
  await page.locator('.zones .cells rect').first().waitFor();
  console.log(`${size} map: first map ${Date.now() - start} ms after opening the room`);
  await audit(page, 'preview');
  check(/preview/.test(await page.locator('.rests').textContent()), 'says that it is a preview');
  // Each class says how much of the map it has.
  const shares = (await page.locator('.map-key li span').allTextContents()).map((text) => Number(text.match(/(\d+) of 100/)[1]));
  check(shares.length === 4 && shares.reduce((a, b) => a + b, 0) === 100, `four classes share the map: ${shares}`);
  // The list says in words what the marks say.
  const places = await page.locator('.places li').allTextContents();
  check(places.length >= 4, `places are listed, not ${places.length}`);
  for (const text of places) {
    const [of, more, same, less] = text.match(/Of (\d+) summers, (\d+) had more, (\d+) had no change and (\d+) had less/).slice(1).map(Number);
    check(more + same + less === of, `counts add up: ${text}`);
  }
  // By button, by keyboard, by pointer.
  await page.locator('.places li').last().getByRole('button').click();
  const worst = await page.locator('.places li').last().locator('strong').textContent();
  check(worst.endsWith(await page.locator('.zone-word').textContent()), `the chosen place has the class of the list: ${worst}`);
  const before = feet(await heading(page));
  await page.locator('[data-thing="map.place"]').focus();
  await page.keyboard.press('ArrowRight');
  await page.keyboard.press('Shift+ArrowDown');
  const after = feet(await heading(page));
  check(Math.abs(after[0] - before[0] - 1) <= 1 && Math.abs(before[1] - after[1] - 5) <= 1, `arrow keys moved ${before} to ${after}`);
  const tapped = async (x, y) => {
    await page.locator('.zones .reach').scrollIntoViewIfNeeded();
    const box = await page.locator('.zones .reach').boundingBox();
    const spot = [box.x + box.width * x, box.y + box.height * y];
    if (size === 'phone') await page.touchscreen.tap(...spot);
    else await page.mouse.click(...spot);
    return feet(await heading(page));
  };
  const [west, east] = [await tapped(0.3, 0.72), await tapped(0.6, 0.72)];
  check(east[0] - west[0] > 10 && Math.abs(east[1] - west[1]) <= 1, `a tap chooses a place: ${west}, ${east}`);
  check(/nearest place tried|Of \d+ summers/.test(await page.locator('section.place').textContent()), 'a place has its numbers');
  check(/nearest plant is [\d.]+ ft away/.test(await page.locator('section.place').textContent()), 'says how far the plants are');
  // Stop, go on.
  await page.getByRole('button', { name: 'Stop here' }).click();
  const stopped = await summers(page);
  const picture = await page.locator('.zones .cells').innerHTML();
  await page.waitForTimeout(1500);
  check(await summers(page) === stopped && await page.locator('.zones .cells').innerHTML() === picture, 'what is stopped stands still');
  await page.getByRole('button', { name: 'Go on' }).click();
  await page.waitForFunction((n) => Number(document.querySelector('.rests')?.textContent.match(/\d+/)?.[0]) > n, stopped);
  if (size === 'phone') return page.context().close();
  // Another purpose, another language.
  await page.getByLabel('What the trap is for').selectOption('catch');
  await page.locator('.place', { hasText: 'days until the first catch' }).waitFor();
  check(!/hang here/i.test(await page.locator('.map-room').innerText()), 'an early catch is no advice to hang a trap');
  await audit(page, 'catch');
  await page.getByLabel('Language').selectOption('es');
  await page.locator('.verdict', { hasText: 'hasta ahora' }).waitFor();
  const english = (await page.locator('main').innerText()).match(/^.*\b(the|summers|places|change|nearest)\b.*$/gim)?.filter((line) => !/between the beds|by the shed|trap by the/.test(line)) ?? [];
  check(english.length === 0, `English is left in Spanish: ${english.slice(0, 3).join(' | ')}`);
  await audit(page, 'spanish');
  await page.context().close();
}

/** A yard with no trap of one's own has no map, and says why. */
async function without() {
  at('no trap');
  const page = await open('desktop', 'yard');
  const yard = JSON.parse(readFileSync(join(scenarios, 'allotment-beetles.json'), 'utf8'));
  yard.plans = yard.plans.slice(0, 1);
  await page.setInputFiles('input[type=file]', { name: 'bare.json', mimeType: 'application/json', buffer: Buffer.from(JSON.stringify({ ...yard, title: 'Bare' })) });
  await page.waitForFunction(() => document.querySelector('.masthead').textContent.includes('Bare'));
  await page.getByRole('link', { name: 'Where to hang it' }).click();
  await page.locator('.refused').waitFor();
  await audit(page, 'refused');
  await page.context().close();
}

/** The files of the page are those of the program, and the numbers on the screen are those of the files. */
async function same() {
  at('same');
  const program = process.env.LUREFIELD;
  if (!program) return;
  const path = join(scenarios, 'allotment-beetles.json');
  const out = mkdtempSync(join(tmpdir(), 'map-'));
  execFileSync(program, ['place', path, '--summers', '20', '--out', out, '--quiet']);
  const page = await open('desktop', 'yard');
  const placed = await page.evaluate((text) => window.lurefield.place(text, { summers: 20, name: 'allotment-beetles.json' }), readFileSync(path, 'utf8'));
  for (const name of ['placement.json', 'placement.csv']) {
    check(placed[name] === readFileSync(join(out, 'place', name), 'utf8'), `${name} is not the program's`);
  }
  rmSync(out, { recursive: true });
  const settled = await page.evaluate(async (text) => {
    const start = performance.now();
    const files = await window.lurefield.place(text, {});
    return [performance.now() - start, JSON.parse(files['placement.json']).summers];
  }, readFileSync(path, 'utf8'));
  console.log(`settled map of the allotment: ${Math.round(settled[0])} ms, ${settled[1]} summers`);
  await page.context().close();
}

for (const size of ['desktop', 'phone']) await looking(size);
await without();
await same();
await end('the map');
