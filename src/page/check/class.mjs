// The lesson of a class: the guess is locked before summers run, keys choose lessons, groups with their own seeds are pooled, the
// sheets are made and printed alone, and every letter can be read from the back row. Usage: node class.mjs PAGE.html [FOLDER FOR PICTURES]

import { readFileSync } from 'node:fs';
import { audit, check, end, given, open, pdf, SIZES, spanish } from './frame.mjs';

const LESSONS = ['Trap', 'Distance', 'Number', 'Wind', 'Hands', 'Net', 'When traps help'];
const lock = async (page, more, less) => {
  await page.getByLabel('More harm', { exact: true }).fill(String(more));
  await page.getByLabel('Less harm', { exact: true }).fill(String(less));
  await page.keyboard.press('Tab');
  await page.getByRole('button', { name: 'Lock the guess' }).click();
};
const run = async (page) => {
  await page.getByRole('button', { name: 'Let 20 summers go by' }).click();
  await page.locator('.result').waitFor();
};
/** Less, no change and more of the row of the summers. */
const counts = (page) => page.locator('.result tbody tr').nth(1).locator('td').allTextContents().then((all) => all.map(Number));
const pressed = (page) => page.locator('[aria-pressed="true"]').first().textContent();

/** Height of the smallest letters that are seen. */
const smallest = (page) => page.evaluate(() => {
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  let least = [Infinity, ''];
  for (let node = walk.nextNode(); node; node = walk.nextNode()) {
    const element = node.parentElement;
    if (!node.textContent.trim() || !element.checkVisibility() || element.closest('.unseen, .skip, script, style, noscript, select')) continue;
    const size = parseFloat(getComputedStyle(element).fontSize) * (element.closest('svg')?.getScreenCTM()?.a ?? 1);
    if (size < least[0]) least = [size, `${element.className?.baseVal ?? element.className} ${node.textContent.slice(0, 40)}`];
  }
  return least;
});

async function journey(size) {
  const page = await open(size, 'class');
  await audit(page, 'start');
  check(await page.getByRole('button', { name: 'Let 20 summers go by' }).count() === 0, 'summers can run before the guess is locked');
  check(await page.getByRole('button', { name: 'Lock the guess' }).isDisabled(), 'a guess without hands can be locked');
  await lock(page, 12, 9);
  check(await page.getByLabel('More harm', { exact: true }).count() === 0, 'a locked guess can be changed');
  await run(page);
  const found = await counts(page);
  check(found.length === 3 && found.reduce((a, b) => a + b, 0) === 20, `twenty summers, not ${found}`);
  check(found.filter((n) => n > 0).length >= 2, `the summers of lesson 1 disagree: ${found}`);
  check(await page.locator('.result .heaps path, .result .heaps circle').count() === 20, 'twenty marks');
  // Another group has other summers; the same group the same again.
  await page.getByRole('button', { name: 'Work out the summers of group 2' }).click();
  await page.waitForFunction(() => document.querySelectorAll('.pool path, .pool circle').length === 40);
  await page.getByLabel('We are group').fill('2');
  await page.keyboard.press('Tab');
  await run(page);
  const second = await counts(page);
  const row = await page.locator('.groups fieldset').nth(1).locator('input').evaluateAll((all) => all.map((input) => Number(input.value)));
  check(String(second) === String(row), `group 2 finds ${second} and ${row}`);
  // Typed in: counted once it adds up to twenty.
  const third = page.locator('.groups fieldset').nth(2).locator('input');
  await third.nth(0).fill('3');
  await third.nth(2).fill('10');
  await page.keyboard.press('Tab');
  check(await page.locator('.groups .fault').count() === 1, 'a sum that is not twenty is told');
  check(await page.locator('.pool path, .pool circle').count() === 40, 'a sum that is not twenty is not pooled');
  await third.nth(1).fill('7');
  await page.keyboard.press('Tab');
  await page.waitForFunction(() => document.querySelectorAll('.pool path, .pool circle').length === 60);
  await audit(page, 'found');
  if (size === 'projector') {
    for (const summary of await page.locator('summary').all()) await summary.click();
    const [px, what] = await smallest(page);
    check(px >= 24, `letters of ${px} px: ${what}`);
    await audit(page, 'notes');
  }
  // Keys, and their switch.
  await page.locator('h2').focus();
  for (const [i, name] of LESSONS.entries()) {
    await page.keyboard.press(String(i + 1));
    check((await pressed(page)).includes(name), `key ${i + 1} chooses ${name}`);
    check(await page.getByRole('button', { name: 'Lock the guess' }).count() === (i === 0 ? 0 : 1), `${name}: each lesson has a guess of its own`);
  }
  await page.getByLabel('Keys 1 to 7 choose a lesson').uncheck();
  await page.keyboard.press('1');
  check((await pressed(page)).includes('When traps help'), 'keys can be turned off');
  await page.getByLabel('Keys 1 to 7 choose a lesson').check();
  // The counter-story: traps help in the lone bed, computed here.
  await lock(page, 1, 2);
  await run(page);
  const helps = await counts(page);
  check(helps[0] > 10 && helps[2] <= 2, `traps help in the lone bed: less, same, more ${helps}`);
  await audit(page, 'helps');
  await page.getByRole('button', { name: '1 Trap' }).click();
  check(String(await counts(page)) === String(second), 'a lesson is kept while another is shown');
  await page.getByRole('button', { name: 'Start this lesson anew' }).click();
  check(await page.locator('.result, .groups').count() === 0, 'anew takes all back');
  await page.context().close();
}

/** Every lesson runs, and its yard has no fault. */
async function lessons() {
  const page = await open('desktop', 'class');
  for (const [i, name] of LESSONS.entries()) {
    await page.getByRole('button', { name: `${i + 1} ${name}` }).click();
    await lock(page, 1, 1);
    await run(page);
    check(await page.locator('.refused').count() === 0, `${name}: ${await page.locator('.refused').allTextContents()}`);
    console.log(`${name}: less, no change, more ${await counts(page)}; ${await page.locator('.verdict').textContent()}`);
  }
  await page.locator('.notes summary').click();
  const yard = await given(page, 'Save the yard of this lesson');
  check(JSON.parse(readFileSync(yard.path, 'utf8')).plans.length === 2, 'the yard of a lesson is saved');
  await page.getByRole('button', { name: 'Make the sheets' }).click();
  await page.locator('.notes iframe').waitFor();
  const kinds = await page.getByLabel('Which page').locator('option').allTextContents();
  check(['Prediction sheet', 'Student sheet', 'Teacher page'].every((kind) => kinds.some((k) => k.includes(kind))), `sheets: ${kinds}`);
  await audit(page, 'sheets');
  await page.locator('.notes summary').click();
  await page.locator('.paper summary').click();
  await page.emulateMedia({ media: 'print' });
  check(await page.locator('.groups').first().isHidden(), 'paper prints alone');
  for (const format of ['Letter', 'A4']) {
    const pages = await pdf(page, 'class-paper', format);
    check(pages <= 2, `the sheet prints on ${pages} ${format} pages`);
  }
  await page.emulateMedia({ media: 'screen' });
  await spanish(page);
  await audit(page, 'spanish');
  await page.context().close();
}

for (const size of Object.keys(SIZES)) await journey(size);
await lessons();
await end('class');
