// The room of doubts: every number opens to its source and grade; the study of unknowns runs, stops, and shows where the word
// turns. Usage: node doubt.mjs PAGE.html [FOLDER FOR PICTURES]

import { audit, check, end, open, SIZES, spanish } from './frame.mjs';

async function journey(size, whole) {
  const page = await open(size, 'yard');
  await page.getByLabel('Ready yards').selectOption('backyard-pears-stink-bug');
  await page.waitForFunction(() => document.querySelector('.masthead').textContent.includes('pear'));
  await page.getByRole('link', { name: 'Doubts' }).click();
  await page.locator('.things details').first().waitFor();
  await audit(page, 'start');
  const numbers = page.locator('.things details');
  const shown = await numbers.evaluateAll((all) => all.map((one) => one.textContent));
  check(shown.length > 30, `only ${shown.length} numbers`);
  const bare = await numbers.evaluateAll((all) => all.filter((one) => !one.querySelector('q')?.textContent.trim()).map((one) => one.querySelector('summary').textContent));
  check(bare.length === 0, `no source: ${bare}`);
  const raw = shown.filter((text) => /undefined|NaN|_|null/.test(text.split('why?')[0]));
  check(raw.length === 0, `not in plain words: ${raw.map((text) => text.slice(0, 80))}`);
  await numbers.first().locator('summary').focus();
  await page.keyboard.press('Enter');
  check(await numbers.first().evaluate((one) => one.open), 'a number opens by keyboard');
  // Stop, then a short study.
  await page.getByLabel('Summers at each value').selectOption('8');
  await page.getByRole('button', { name: 'Find what matters most' }).click();
  await page.getByRole('button', { name: 'Stop here' }).click();
  check(await page.locator('.slider').count() === 0, 'stopped before anything was found');
  if (!whole) return page.context().close();
  const start = Date.now();
  await page.getByRole('button', { name: 'Find what matters most' }).click();
  await page.locator('.slider').first().waitFor();
  console.log(`${size}: 8 summers at each value in ${Math.round((Date.now() - start) / 1000)} s; ${await page.locator('.verdict').textContent()}`);
  check(await page.locator('.slider').count() === 6, 'six unknowns on sliders');
  const slider = page.locator('.slider').first();
  const said = () => slider.locator('input').getAttribute('aria-valuetext');
  const before = await said();
  await slider.locator('input').focus();
  await page.keyboard.press('End');
  check(await said() !== before, 'a slider moves by keyboard');
  const told = await page.locator('.slider').evaluateAll((all) => all.every((one) => one.querySelectorAll('.turn').length === one.querySelectorAll('strong').length));
  check(told, 'each turn is drawn and told');
  const none = await page.locator('.slider').evaluateAll((all) => all.every((one) => one.querySelectorAll('.turn').length > 0 || /No turning point/.test(one.textContent)));
  check(none, 'no turn is told where there is none');
  await audit(page, 'study');
  await spanish(page, /trap (by|in) the [a-z ]+|no trap|“[^”]*”|trap at the back fence|pears|tomatoes/gi);
  await audit(page, 'spanish');
  await page.context().close();
}

for (const size of Object.keys(SIZES)) await journey(size, size === 'desktop');
await end('doubt');
