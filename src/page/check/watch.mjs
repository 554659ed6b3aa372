// The room of one summer in a real Chromium, on a desktop and on a phone: nothing is worked out or moves before it is asked for;
// play, pause and steps by button and by key; a still picture where less motion is asked for; the counts at the end are those of
// the program's own file where LUREFIELD names it.
// Usage: node watch.mjs PAGE.html [FOLDER FOR PICTURES]

import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { at, audit, check, end, open, scenarios } from './frame.mjs';

const count = (page, what) => page.locator(`[data-count="${what}"] td`).allTextContents().then((cells) => cells.map(Number));
const drawn = (page) => page.locator('.insects').evaluateAll((layers) => layers.map((layer) => layer.innerHTML).join(''));
const ask = async (page) => {
  await page.getByRole('button', { name: 'Get one summer' }).click();
  await page.locator('.watch').waitFor();
};
const toEnd = (page) => page.getByLabel('Time').press('End');

async function watching(size) {
  at(`${size} watch`);
  const page = await open(size, 'watch');
  await page.waitForTimeout(700);
  check(await page.locator('main .watch, main .wait').count() === 0, 'nothing begins by itself');
  await audit(page, 'before');
  await ask(page);
  // The first drawing comes a moment after its frame.
  await page.waitForTimeout(500);
  const still = await drawn(page);
  await page.waitForTimeout(1000);
  check(await drawn(page) === still, 'nothing moves before it is asked to');
  // Who sits on a plant when the day begins is counted from the start, on both sides alike.
  const [before, after] = await count(page, 'landed');
  check(before === after && (await count(page, 'caught')).every((n) => n === 0), `both sides begin alike: ${before}, ${after}`);
  await page.getByRole('button', { name: 'Play' }).click();
  await page.waitForFunction((old) => [...document.querySelectorAll('.insects')].map((layer) => layer.innerHTML).join('') !== old, still);
  await page.getByRole('button', { name: 'Pause' }).click();
  const paused = await drawn(page);
  await page.waitForTimeout(500);
  check(await drawn(page) === paused, 'what is paused stands still');
  // Steps by key.
  await page.getByRole('group', { name: 'The two yards' }).focus();
  await page.keyboard.press('Home');
  check(await page.locator('.story li').count() === 0, 'Home starts again');
  const steps = [];
  for (let i = 0; i < 4; i++) {
    await page.keyboard.press('ArrowRight');
    steps.push(await page.locator('.story li').count());
  }
  check(steps.every((n, i) => n > (steps[i - 1] ?? 0)), `each step has something new: ${steps}`);
  check((await page.locator('[role="status"].unseen').textContent()).includes(': '), 'a step is said aloud');
  check(await page.locator('.insects .way').count() > 0 && await page.locator('.step-mark').count() > 0, 'the way of the chosen insect is drawn');
  await audit(page, 'steps');
  await page.keyboard.press('ArrowLeft');
  check(await page.locator('.story li').count() < steps[3], 'left arrow steps back');
  await page.keyboard.press('Space');
  await page.getByRole('button', { name: 'Pause' }).waitFor();
  await page.keyboard.press('Space');
  // All insects to the end.
  await page.getByLabel('Pick one insect').selectOption('');
  await toEnd(page);
  const landed = await count(page, 'landed');
  const beds = await page.locator('[data-bed]').evaluateAll((rows) => [1, 2].map((k) => rows.reduce((sum, row) => sum + Number(row.cells[k].textContent), 0)));
  check(landed.every((n, side) => n > 0 && n === beds[side]), `landings ${landed} are those on all beds ${beds}`);
  await audit(page, 'end');
  if (size === 'desktop') {
    await sameAsProgram(page);
    await page.getByLabel('Language').selectOption('es');
    await page.waitForFunction(() => document.documentElement.lang === 'es' && document.querySelector('h2').textContent === 'Mire un verano');
    await audit(page, 'spanish');
  }
  await page.context().close();
}

/** What is counted on the screen is what happens in the program's own file. */
async function sameAsProgram(page) {
  const program = process.env.LUREFIELD;
  if (!program) return;
  const yard = JSON.parse(readFileSync(join(scenarios, 'allotment-beetles.json'), 'utf8'));
  yard.plans = yard.plans.slice(0, 2);
  const out = mkdtempSync(join(tmpdir(), 'watch-'));
  writeFileSync(join(out, 'yard.json'), JSON.stringify(yard));
  execFileSync(program, ['run', join(out, 'yard.json'), '--summers', '20', '--out', out, '--quiet']);
  const { insects } = JSON.parse(readFileSync(join(out, 'run', 'one-summer.json'), 'utf8'));
  for (const what of ['landed', 'smelled', 'caught', 'taken']) {
    const own = ['without', 'with'].map((side) => insects.reduce((sum, one) => sum + (one[side] ?? one.without).events.filter((e) => e.what === what).length, 0));
    const shown = await count(page, what);
    check(String(own) === String(shown), `${what}: ${shown} on the screen, ${own} in the program's file`);
  }
  rmSync(out, { recursive: true });
}

/** Less motion: the whole way at once, in steps. */
async function calm() {
  at('less motion');
  const page = await open('desktop', 'watch', { reducedMotion: 'reduce' });
  await ask(page);
  check(await page.locator('.insects .way').count() > 0, 'the whole way is drawn at once');
  const story = await page.locator('.story li').count();
  check(story > 0, 'the whole story is told at once');
  await page.getByRole('button', { name: 'Step', exact: true }).click();
  check(await page.locator('.step-mark.past').count() > 0, 'a step is marked');
  check(await page.locator('.story li').count() === story, 'the story stays whole');
  await audit(page, 'still');
  await page.context().close();
}

/** A plan that changes nothing the insects meet, and a yard with no plan that does anything. */
async function without() {
  at('nothing to watch');
  const page = await open('desktop', 'yard');
  const given = JSON.parse(readFileSync(join(scenarios, 'allotment-beetles.json'), 'utf8'));
  const put = async (title, plans) => {
    await page.getByRole('link', { name: 'Draw your yard' }).click();
    await page.setInputFiles('input[type=file]', { name: 'yard.json', mimeType: 'application/json', buffer: Buffer.from(JSON.stringify({ ...given, title, plans })) });
    await page.waitForFunction((text) => document.querySelector('.masthead').textContent.includes(text), title);
    await page.getByRole('link', { name: 'Watch one summer' }).click();
  };
  await put('Idle', [{ name: 'nothing' }]);
  await page.getByText('No plan does anything yet').waitFor();
  await audit(page, 'idle');
  await page.context().close();
}

for (const size of ['desktop', 'phone']) await watching(size);
await calm();
await without();
await end('one summer');
