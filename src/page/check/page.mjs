// Journeys through the page in a real Chromium, on a desktop and on a phone: drawing a yard, trying plans, undo, opening and
// saving, by pointer and by keyboard; no request, no script error, no fault that axe-core finds, nothing wider than the window,
// and no name that runs; the same bytes for any number of workers, and those of the program where LUREFIELD names it.
// Usage: node page.mjs PAGE.html [FOLDER FOR PICTURES]

import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { at as placed, audit, check, end, faults, open, opened, scenarios, shots } from './frame.mjs';

/** The yard as it would be saved. */
async function saved(page) {
  const [download] = await Promise.all([page.waitForEvent('download'), page.getByRole('button', { name: 'Save this yard' }).click()]);
  return readFileSync(await download.path(), 'utf8');
}

const openFile = (page, name, text) => page.setInputFiles('input[type=file]', { name, mimeType: 'application/json', buffer: Buffer.from(text) });
const thing = (page, path) => page.locator(`[data-thing="${path}"]`);

/** Presses at the middle of a thing of the drawing, moves by pixels and lets go. */
async function drag(page, path, right, down) {
  await thing(page, path).scrollIntoViewIfNeeded();
  const box = await thing(page, path).boundingBox();
  const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
  await page.mouse.move(x, y);
  await page.mouse.down();
  for (let i = 1; i <= 5; i++) await page.mouse.move(x + (right * i) / 5, y + (down * i) / 5);
  await page.mouse.up();
}

async function drawing(size) {
  placed(`${size} yard`);
  const page = await open(size, 'yard');
  await audit(page, 'start');
  // Ready yard, and back.
  const before = await saved(page);
  // By pointer.
  await drag(page, 'crops.0', 30, 20);
  const moved = JSON.parse(await saved(page));
  const at = (doc) => doc.crops[0].row.from.map(parseFloat);
  const [was, is] = [at(JSON.parse(before)), at(moved)];
  check(is[0] > was[0] && is[1] < was[1], `dragging moved ${was} to ${is}`);
  check(is.every((ft, i) => Number.isInteger(ft - was[i])), `a drag is in whole feet, not ${is}`);
  await page.getByRole('button', { name: 'Undo' }).click();
  check(await saved(page) === before, 'one undo takes back a whole drag');
  await page.getByRole('button', { name: 'Redo' }).click();
  check(await saved(page) === `${JSON.stringify(moved, null, 2)}\n`, 'redo brings it again');
  await page.getByRole('button', { name: 'Undo' }).click();
  // By keyboard.
  await thing(page, 'crops.0').focus();
  for (const key of ['ArrowRight', 'ArrowRight', 'Shift+ArrowDown']) await page.keyboard.press(key);
  const stepped = at(JSON.parse(await saved(page)));
  check(stepped[0] === was[0] + 2 && stepped[1] === was[1] - 5, `arrow keys moved ${was} to ${stepped}`);
  await thing(page, 'crops.0').focus();
  await page.keyboard.press('Control+z');
  check(await saved(page) === before, 'undo by keyboard');
  await thing(page, 'crops.0').focus();
  await page.keyboard.press('Enter');
  await audit(page, 'chosen');
  // By fields.
  await page.locator('details[open]').getByLabel('First end, from the west (feet)').fill('20');
  await page.keyboard.press('Tab');
  check(at(JSON.parse(await saved(page)))[0] === 20, 'a field moves a bed');
  // Eight roses along the north fence.
  await page.getByRole('button', { name: '+ plants along a side' }).click();
  await page.getByRole('button', { name: 'Plant them' }).click();
  const bed = JSON.parse(await saved(page)).crops.at(-1);
  // What the form suggests can be planted, whatever the count.
  await page.getByRole('button', { name: '+ plants along a side' }).click();
  const form = page.locator('form', { has: page.getByRole('button', { name: 'Plant them' }) });
  for (const kind of ['rose', 'grape', 'strawberry', 'tomato']) {
    await form.locator('select').first().selectOption(kind);
    for (let n = 1; n <= 12; n++) {
      await form.locator('input').first().fill(String(n));
      await page.keyboard.press('Tab');
      const refused = await form.evaluate((f) => [...f.elements].filter((e) => !e.checkValidity()).map((e) => e.validationMessage));
      check(refused.length === 0, `${n} of ${kind} cannot be planted: ${refused}`);
    }
  }
  await page.getByRole('button', { name: '+ plants along a side' }).click();
  check(bed.kind === 'rose' && bed.row.count === 8 && bed.row.from[1] === bed.row.to[1] && parseFloat(bed.row.from[1]) > 30, `a bed along the north fence: ${JSON.stringify(bed)}`);
  for (const what of ['house', 'tree', 'neighbor', 'possible spot', 'lawn with grubs']) await page.getByRole('button', { name: `+ ${what}` }).click();
  await page.waitForTimeout(300);
  check(await page.locator('.faults li').count() === 0, `faults after adding: ${await page.locator('.faults li').allTextContents()}`);
  await audit(page, 'added');
  // The neighbor's plants, and the numbers of a plot with none.
  await page.getByRole('navigation').getByRole('link', { name: 'Try plans' }).click();
  await page.locator('.found .verdict').waitFor();
  check(await page.locator('.refused').count() === 0, `plans beside a neighbor: ${await page.locator('.refused').allTextContents()}`);
  await page.getByRole('link', { name: 'Draw your yard' }).click();
  await page.locator('summary', { hasText: /^neighbor /i }).last().click();
  await page.getByRole('button', { name: '+ plants of theirs' }).click();
  await page.waitForTimeout(300);
  check(JSON.parse(await saved(page)).neighbours.at(-1).crops.length === 1, 'a neighbor has plants');
  check(await page.locator('.faults li').count() === 0, `faults after planting next door: ${await page.locator('.faults li').allTextContents()}`);
  await thing(page, 'surroundings.sources.0').focus();
  await page.keyboard.press('Delete');
  check(JSON.parse(await saved(page)).surroundings.sources.length === 0, 'Delete takes a thing out');
  // A fault stands at what it concerns.
  await page.locator('summary', { hasText: 'raspberries' }).first().click();
  const open_ = page.locator('details[open]');
  if (await open_.count() === 0) await page.locator('summary', { hasText: 'raspberries' }).first().click();
  await page.locator('details[open]').getByLabel('First end, from the west (feet)').fill('900');
  await page.keyboard.press('Tab');
  await page.locator('details.bad .faults li').first().waitFor();
  await audit(page, 'fault');
  await page.getByRole('button', { name: 'Undo' }).click();
  // Some questions.
  await page.getByRole('button', { name: 'Start with a few questions' }).click();
  await audit(page, 'questions');
  await page.getByRole('button', { name: 'Make this yard' }).click();
  const made = JSON.parse(await saved(page));
  check(made.format === 1 && made.crops[0].row.count === 8 && made.plans.length >= 4, 'a yard from answers');
  await page.waitForTimeout(300);
  check(await page.locator('.faults li').count() === 0, `faults after the questions: ${await page.locator('.faults li').allTextContents()}`);
  // Along another side; what does not fit is told.
  await page.getByRole('button', { name: 'Start with a few questions' }).click();
  await page.getByLabel('Which side of the yard').selectOption('south');
  await page.getByLabel('How far from the row').fill('60');
  await page.keyboard.press('Tab');
  await page.getByRole('button', { name: 'Make this yard' }).click();
  await page.locator('form .refused').waitFor();
  await page.getByLabel('How far from the row').fill('12');
  await page.keyboard.press('Tab');
  await page.getByRole('button', { name: 'Make this yard' }).click();
  await page.locator('form .refused').waitFor({ state: 'detached' });
  const south = JSON.parse(await saved(page));
  const [row, trap, corner] = [south.crops[0].row.from, south.plans[1].traps[0].at, south.plans[2].traps[0].at].map((spot) => parseFloat(spot[1]));
  check(row === 3 && trap === 15 && corner > 38, `a row along the south: ${row}, traps ${trap} and ${corner}`);
  check(await page.locator('.picture .trap').count() === 1, 'the trap of the plan is drawn');
  // Loaded again, the yard is still open.
  page.on('dialog', (dialog) => void dialog.accept());
  await page.reload();
  await page.waitForSelector('main h2');
  check(JSON.stringify(JSON.parse(await saved(page))) === JSON.stringify(south), 'a page loaded again has lost its yard');
  await page.context().close();
}

/** Names in a drawing stand clear of each other and of the yard's fence; in a turned drawing no word names a wrong side. */
async function turned(size) {
  placed(`${size} turned`);
  const page = await open(size, 'yard');
  const doc = JSON.parse(await saved(page));
  doc.yard.up = 'southeast';
  await openFile(page, 'turned.json', JSON.stringify({ ...doc, title: 'Turned' }));
  await page.waitForFunction(() => document.querySelector('.masthead').textContent.includes('Turned'));
  const met = await page.evaluate(() => {
    const box = (e) => {
      const { x, y, width, height } = e.getBBox();
      return { left: x, right: x + width, top: y, bottom: y + height, name: e.textContent };
    };
    const names = [...document.querySelectorAll('.picture .names text')].map(box);
    const { left, right, top, bottom } = box(document.querySelector('.picture .ground'));
    const fence = [[left, left, top, bottom], [right, right, top, bottom], [left, right, top, top], [left, right, bottom, bottom]].map(([l, r, t, b]) => ({ left: l, right: r, top: t, bottom: b, name: 'the fence' }));
    const meet = (a, b) => a.left < b.right && b.left < a.right && a.top + 3 < b.bottom && b.top + 3 < a.bottom;
    return { names: names.length, met: names.flatMap((a, i) => [...names.slice(i + 1), ...fence].filter((b) => meet(a, b)).map((b) => `${a.name} on ${b.name}`)) };
  });
  check(met.names >= 4, `${met.names} names in the drawing`);
  check(met.met.length === 0, `names over lines: ${met.met.join(', ')}`);
  const words = await page.locator('main summary, main label').allInnerTexts();
  const sided = words.filter((text) => /(from the|to|ft) (north|south|east|west)\b/i.test(text));
  check(sided.length === 0 && words.some((text) => /from the left/.test(text)), `sides of a turned yard: ${sided.slice(0, 2).join(' | ')}`);
  await audit(page, 'turned');
  await page.context().close();
}

async function files() {
  placed('files');
  const page = await open('desktop', 'yard');
  const given = { ...JSON.parse(await saved(page)), title: 'Round trip', note: 'kept "as" it is — ñ', unknown_member: { deep: [1, { x: null }] } };
  await openFile(page, 'round.json', JSON.stringify(given));
  await page.waitForFunction(() => document.querySelector('.masthead').textContent.includes('Round trip'));
  check(JSON.stringify(JSON.parse(await saved(page))) === JSON.stringify(given), 'what is opened is saved as it was, unknown members too');
  await page.locator('.faults li').first().waitFor();
  // A broken file leaves the yard in place and says what is wrong.
  await openFile(page, 'broken.json', '{ "format": 1, "yard": ');
  await page.locator('.refused li').first().waitFor();
  await audit(page, 'refused');
  check((await page.locator('.masthead').textContent()).includes('Round trip'), 'a broken file leaves the yard in place');
  // Odd shapes do not stop the page.
  for (const odd of ['[]', 'null', '7', '{"yard":{}}', '{"yard":{"width":"1e9 ft","depth":-3},"crops":[null,7,{"row":{}}],"plans":[{"traps":[null]}],"neighbours":{}}']) {
    await openFile(page, 'odd.json', odd);
    await page.waitForTimeout(150);
    await page.getByRole('navigation').getByRole('link', { name: 'Try plans' }).click();
    await page.getByRole('link', { name: 'Draw your yard' }).click();
    check(await page.locator('main svg').count() === 1, `the page stands after ${odd}`);
  }
  await page.context().close();
  // Names that would run if they were not text, under the page's own policy.
  placed('hostile names');
  const hostile = '<img src=x onerror="window.hit=1"></script><script>window.hit=2</script>{name}${7}';
  const wild = JSON.parse(JSON.stringify(given));
  delete wild.unknown_member;
  wild.title = hostile;
  wild.crops[0].name = hostile;
  wild.plans[1].name = hostile;
  const shut = await open('desktop', 'yard', { bypassCSP: false });
  await openFile(shut, `${hostile.replaceAll('/', '')}.json`, JSON.stringify(wild));
  await shut.locator('.masthead', { hasText: 'onerror' }).waitFor();
  await shut.getByRole('navigation').getByRole('link', { name: 'Try plans' }).click();
  await shut.locator('.verdict, .refused').first().waitFor();
  check(await shut.evaluate(() => window.hit) === undefined, 'a name ran');
  check(await shut.evaluate(() => document.querySelector('main img, main script') === null), 'a name became markup');
  const blocked = await shut.evaluate(() => fetch('https://example.invalid/').then(() => false, () => true));
  check(blocked, 'the policy lets the page ask the network');
  faults.splice(0, faults.length, ...faults.filter((f) => !/example\.invalid|Content Security Policy|Refused to connect|violates the document/.test(f)));
  await shut.context().close();
}

const numbers = (page) => page.locator('.found tbody tr').evaluateAll((rows) => rows.map((row) => [...row.cells].map((cell) => cell.textContent)));
const summers = async (page) => Number((await page.locator('.rests').textContent()).match(/\d+/)?.[0] ?? 0);
/** Waits for the quick answer; the first counts come before it. */
async function quick(page) {
  for (let tries = 0; tries < 300 && await summers(page) < 20; tries++) await page.waitForTimeout(50);
  return summers(page);
}

async function trying(size) {
  placed(`${size} plans`);
  const page = await open(size, 'plans');
  await page.locator('.heaps').first().waitFor();
  await audit(page, 'quick');
  const first = await numbers(page);
  check(first.length === 2, `two plans in the table, not ${first.length}`);
  check(await quick(page) >= 20, 'says how many summers it rests on');
  const words = await page.locator('.heaps li span').allTextContents();
  const counts = words.map((text) => Number(text.match(/\d+/)[0]));
  check(counts.reduce((a, b) => a + b, 0) === Number(words[0].match(/(\d+)\D*$/)[1]), `counts add up: ${words}`);
  check(await page.locator('.heaps path, .heaps circle').count() === 20, 'twenty marks');
  // Drag the trap away: a new answer, within a second or so.
  await page.mouse.move(1, 1);
  const verdict = await page.locator('.verdict').textContent();
  await drag(page, 'plans.1.traps.0', size === 'phone' ? 40 : 90, size === 'phone' ? 10 : 40);
  const start = Date.now();
  await page.waitForFunction((old) => !document.querySelector('.found.old') && document.querySelector('.found tbody').textContent !== old, first.flat().join(''));
  console.log(`${size} plans: first new numbers ${Date.now() - start} ms after a drag`);
  // From the answer of 20 summers on to one that is settled, without being asked.
  await page.waitForFunction(() => Number(document.querySelector('.rests').textContent.match(/\d+/)?.[0]) > 20);
  await page.getByRole('button', { name: 'Stop here' }).click();
  const stopped = await summers(page);
  await page.waitForTimeout(700);
  check(await summers(page) === stopped, 'what is stopped stands still');
  check(await page.locator('.verdict').textContent() !== '', 'a stopped run leaves its last picture');
  await page.getByRole('button', { name: 'Go on' }).click();
  await page.waitForFunction((n) => Number(document.querySelector('.rests').textContent.match(/\d+/)?.[0]) > n, stopped);
  await page.getByRole('button', { name: 'Undo' }).click();
  await page.waitForFunction((old) => !document.querySelector('.found.old') && document.querySelector('.verdict').textContent.length > 0 && old.length > 0, verdict);
  // By keyboard.
  await thing(page, 'plans.1.traps.0').focus();
  await page.keyboard.press('ArrowRight');
  check((await thing(page, 'plans.1.traps.0').getAttribute('aria-label')).includes('31 ft'), 'an arrow key moves a trap by a foot');
  // A plan of one's own: a net and another trap.
  await page.getByRole('button', { name: 'New plan' }).click();
  await page.getByRole('button', { name: '+ trap' }).click();
  await page.getByRole('button', { name: '+ net or row cover' }).click();
  await page.locator('summary', { hasText: 'net or row cover' }).click();
  await page.waitForFunction(() => !document.querySelector('.found.old') && document.querySelector('.found tbody')?.textContent.includes('my plan'));
  await audit(page, 'own plan');
  check(await page.locator('.refused').count() === 0, 'a new plan is no fault');
  await page.getByRole('button', { name: 'Take out my plan' }).click();
  await page.locator('.found, .wait').first().waitFor();
  // Two plans that both do something.
  await page.getByRole('button', { name: 'Keep as A: picking by hand at dusk' }).click();
  await page.getByRole('button', { name: 'Move as B: net on the raspberries' }).click();
  const two = ['picking by hand at dusk', 'net on the raspberries'];
  await page.waitForFunction((all) => all.every((name) => document.querySelector('.found:not(.old) .verdict')?.textContent.includes(name)), two);
  // Sentence, marks and their caption are of plan B against plan A.
  const [says, marks] = await page.evaluate(() => [document.querySelector('.verdict').textContent, [...document.querySelectorAll('.heaps li span')].map((e) => e.textContent)]);
  const split = says.match(/More in (\d+) of \d+, no change in (\d+), less in (\d+)/)?.slice(1).reverse();
  check(marks.map((text) => text.match(/\d+/)[0]).join() === split?.join(), `${says} beside ${marks}`);
  check((await page.locator('.heaps').getAttribute('aria-label')).includes(two[0]), 'the marks say that they are set against plan A');
  await audit(page, 'both');
  await page.getByLabel('Language').selectOption('es');
  await page.waitForFunction(() => document.documentElement.lang === 'es' && document.querySelector('.found:not(.old)'));
  const text = await page.locator('main').innerText();
  // Names that stand in the yard itself stay as they are.
  const names = /picking by hand at dusk|net on the raspberries|trap (by|in) the [a-z ]+|no trap|near trap|my plan|[a-z]+ plot|their grapes|raspberries|pole beans|between the beds|by the shed door/gi;
  const english = text.replaceAll(names, '').match(/^.*\b(the|with|summers|trap|damage|wind|feet)\b.*$/gim);
  check(english === null, `English is left in Spanish: ${english?.slice(0, 3).join(' | ')}`);
  await audit(page, 'spanish');
  await page.emulateMedia({ media: 'print' });
  if (shots) await page.pdf({ path: join(shots, `${size}-plans.pdf`), format: 'Letter' });
  await page.context().close();
}

/** The same bytes for any number of workers, and those of the program itself, on three yards. */
async function shared() {
  placed('shared');
  const program = process.env.LUREFIELD;
  const yards = ['allotment-beetles', 'strawberry-slugs', 'weak-lure'];
  const pages = await Promise.all([1, 2, 7].map((workers) => open('desktop', `yard?workers=${workers}`)));
  for (const yard of yards) {
    const path = join(scenarios, `${yard}.json`);
    const text = readFileSync(path, 'utf8');
    const answers = [];
    for (const page of pages) answers.push(await page.evaluate(([given, name]) => window.lurefield.run(given, { summers: 8, name }), [text, `${yard}.json`]));
    check(answers[0]['summary.json']?.length > 100, `${yard}: window.lurefield.run gives summary.json`);
    check(answers.every((a) => JSON.stringify(a) === JSON.stringify(answers[0])), `${yard}: the number of workers changes the bytes`);
    if (!program) continue;
    const out = mkdtempSync(join(tmpdir(), 'page-'));
    execFileSync(program, ['run', path, '--summers', '8', '--out', out, '--quiet']);
    execFileSync(program, ['place', path, '--summers', '4', '--out', out, '--quiet']);
    const map = await pages[1].evaluate(([given, name]) => window.lurefield.place(given, { summers: 4, name }), [text, `${yard}.json`]);
    check(answers[0]['summary.json'] === readFileSync(join(out, 'run', 'summary.json'), 'utf8'), `${yard}: summary.json is not the program's`);
    check(map['placement.json'] === readFileSync(join(out, 'place', 'placement.json'), 'utf8'), `${yard}: placement.json is not the program's`);
    rmSync(out, { recursive: true });
  }
  for (const page of pages) await page.context().close();
}

/** Fifty drags leave no more behind than ten. */
async function fifty() {
  placed('fifty drags');
  const page = await open('desktop', 'plans');
  const held = async () => {
    await page.requestGC();
    return page.evaluate(() => performance.memory.usedJSHeapSize / 1e6);
  };
  const shake = async (n) => { for (let i = 0; i < n; i++) await drag(page, 'plans.1.traps.0', i % 2 ? 40 : -40, 0); };
  await shake(10);
  const first = await held();
  await shake(50);
  const last = await held();
  console.log(`fifty drags: ${first.toFixed(1)} MB before, ${last.toFixed(1)} MB after`);
  check(last < first + 10, `memory grows from ${first} to ${last} MB`);
  await page.context().close();
}

for (const size of ['desktop', 'phone']) {
  await drawing(size);
  await turned(size);
  await trying(size);
}
await files();
await fifty();
await shared();
opened.sort((a, b) => a - b);
console.log(`opened ${opened.length} times: first picture after ${opened[0]} to ${opened.at(-1)} ms, usually ${opened[opened.length >> 1]}`);
await end('the page');
