import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { type CutFormat, checkJob, checkJson, cutJob, loadJob, writeCutFile } from '../../src/index.js';
import { jobText, panel, placed, workshop } from '../cli/workshop.js';
import {
  builtPage,
  drop,
  fernFolder,
  fernReadings,
  field,
  fillFern,
  launch,
  missingBrowser,
  noComplaint,
  type OpenPage,
  open,
  saved,
  settled,
  verdictState,
  violations,
  wide,
} from './browser.js';

const files = { read: (path: string) => new Uint8Array(readFileSync(join(fernFolder, path))) };
const fernSvg = readFileSync(join(fernFolder, 'fern-screen.svg'), 'utf8');

const allMarks = ['A', 'B', 'C', 'D'] as const;

const fernJob = (marks: readonly (keyof typeof fernReadings)[] = allMarks, clearance = 0.5) =>
  loadJob(
    {
      path: 'job.yaml',
      text: JSON.stringify({
        title: 'fern-screen',
        drawing: 'fern-screen.svg',
        readings: Object.fromEntries(marks.map((mark) => [mark, fernReadings[mark]])),
        machine: { axes: 'y-up' },
        fit: { 'reading-sd': 0.1 },
        cut: { clearance, kerf: 0.12 },
      }),
    },
    files,
  );

const checkOf = (loaded: ReturnType<typeof fernJob>) => {
  const done = checkJob(loaded);
  if (!done.ok) throw new Error(done.failure.reason);
  return checkJson(loaded.job, done);
};

const cutTextOf = (loaded: ReturnType<typeof fernJob>, format: CutFormat): string => {
  const done = cutJob(loaded);
  if (!done.ok) throw new Error(done.failure.reason);
  return writeCutFile(done.file, format);
};

const numbers = /-?\d+(\.\d+)?/g;

const sideways = (page: Page): Promise<number> =>
  page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);

describe.skipIf(missingBrowser !== undefined)('the page in a browser', () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await launch();
  }, 60_000);
  afterAll(async () => browser?.close());

  let fern: OpenPage | undefined;
  /** One page with the fern screen in it, which each test begins anew. */
  const withFern = async (
    marks: readonly (keyof typeof fernReadings)[] = allMarks,
    size = wide,
  ): Promise<OpenPage> => {
    fern ??= await open(browser);
    const { page } = fern;
    await page.setViewportSize(size);
    const clear = page.getByRole('button', { name: 'Clear', exact: true });
    if (await clear.isEnabled()) await clear.click();
    await fillFern(page, marks);
    return fern;
  };

  /** The page with the job of a workshop. */
  const withJob = async (shop: ReturnType<typeof workshop>): Promise<OpenPage> => {
    expect((await shop.call('page', 'job.yaml', '-o', 'job.html')).status).toBe(0);
    const opened = await open(browser, join(shop.folder, 'job.html'));
    await opened.page.waitForSelector('#verdict:not([data-state=none])');
    await settled(opened.page);
    return opened;
  };

  it('shows the verdict, the needed clearance and the residuals that "reseat check" gives, without any network', async () => {
    const opened = await withFern();
    const { page } = opened;
    const expected = checkOf(fernJob());
    expect(await verdictState(page)).toBe(expected.verdict);
    expect(await page.textContent('#verdict')).toContain(expected.explanation);
    expect(await page.textContent('.rulesvg')).toContain(`${expected.neededClearance!.toFixed(2)} needed`);
    const distances = await page.locator('.fb tr[data-mark] .off span').allTextContents();
    expect(distances).toEqual(expected.fit!.marks.map(({ distance }) => distance.toFixed(2)));
    const witness = await page.locator('.fb tr.w').allInnerTexts();
    expect(witness.map((row) => row.match(numbers)!.slice(-3).map(Number))).toEqual(
      expected.witness
        .slice(0, 4)
        .map(({ at, allowed }) => [...at, allowed!].map((v) => Number(v.toFixed(2)))),
    );
    await page.getByRole('button', { name: 'Settings' }).click();
    const worst = [...expected.openings].sort((a, b) => b.neededClearance! - a.neededClearance!)[0]!;
    expect(await page.locator('#needs tbody tr').first().locator('td, th').allTextContents()).toEqual([
      worst.id,
      'it fits',
      worst.neededClearance!.toFixed(2),
      ...worst.worstPoint!.map((v) => v.toFixed(2)),
    ]);
    expect(await page.textContent('.further')).toContain('PVC');
    await page.getByRole('button', { name: 'Putting back' }).click();
    noComplaint(opened);
  });

  it('goes from nothing to the DXF of "reseat cut" by keyboard alone, with decimal commas', async () => {
    const opened = await open(browser);
    const { page } = opened;
    const tabTo = async (name: RegExp): Promise<void> => {
      for (let i = 0; i < 60; i++) {
        await page.keyboard.press('Tab');
        const label = await page.evaluate(
          () =>
            document.activeElement?.getAttribute('aria-label') ?? document.activeElement?.textContent ?? '',
        );
        if (name.test(label)) return;
      }
      throw new Error(`no way to ${name} by keyboard`);
    };
    // Asked for early: the browser has to be told before the key is pressed.
    const chosen = page.waitForEvent('filechooser');
    await tabTo(/^Open a drawing/);
    await page.keyboard.press('Enter');
    const chooser = await chosen;
    await chooser.setFiles(join(fernFolder, 'fern-screen.svg'));
    await field(page, 'x of A').waitFor();
    await page.evaluate(() => (document.activeElement as HTMLElement | null)?.blur());
    await tabTo(/^y counts$/).catch(() => undefined);
    await page.getByLabel('y counts').focus();
    await page.keyboard.press('u');
    await field(page, 'x of A').focus();
    for (const mark of allMarks)
      for (const value of fernReadings[mark]) {
        await page.keyboard.type(`${String(value).replace('.', ',')} mm`);
        await page.keyboard.press('Enter');
      }
    // From the last reading Enter goes on to the clearance.
    await page.keyboard.type('0,5');
    await page.keyboard.press('Tab');
    await page.keyboard.type('0,12');
    await page.keyboard.press('Tab');
    await page.keyboard.type('0,1');
    await page.keyboard.press('Tab');
    await settled(page);
    expect(await field(page, 'x of A').inputValue()).toBe('429.67');
    await tabTo(/^Save DXF$/);
    const [download] = await Promise.all([page.waitForEvent('download'), page.keyboard.press('Enter')]);
    const loaded = fernJob();
    expect(readFileSync(await download.path(), 'utf8')).toBe(cutTextOf(loaded, 'dxf'));
    noComplaint(opened);
    await page.context().close();
  });

  it('takes a mark in the plan to its row, and lights the mark of the row that is typed in', async () => {
    const opened = await withFern();
    const { page } = opened;
    await field(page, 'y of B').focus();
    expect(await page.locator('.plan .mark.lit').getAttribute('data-goto')).toBe('B');
    await page.locator('.plan .mark[data-goto=D] .hit').click();
    expect(await page.evaluate(() => document.activeElement?.getAttribute('aria-label'))).toBe('x of D');
    noComplaint(opened);
  });

  it('is no surer than two readings: it says what nothing checks', async () => {
    const opened = await withFern(['A', 'C']);
    const { page } = opened;
    const expected = checkOf(fernJob(['A', 'C']));
    expect(await verdictState(page)).toBe(expected.verdict);
    await page.getByRole('button', { name: 'Settings' }).click();
    const said = await page.locator('#remarks li').allTextContents();
    for (const { message } of [...expected.warnings, ...expected.advice]) expect(said).toContain(message);
    await page.getByRole('button', { name: 'Putting back' }).click();
    noComplaint(opened);
  });

  it('follows the slider from the keyboard and by hand, down to where it does not fit', async () => {
    const opened = await withFern();
    const { page } = opened;
    const slider = page.getByRole('slider');
    await slider.focus();
    await page.keyboard.press('Home');
    await page.waitForSelector('#verdict[data-state=does-not-fit]');
    await settled(page);
    await field(page, 'Clearance').fill('0,2');
    await settled(page);
    const expected = checkOf(fernJob(allMarks, 0.2));
    expect(await verdictState(page)).toBe(expected.verdict);
    // The details follow while it is dragged, and the job has it once it is let go.
    const box = (await slider.boundingBox())!;
    const detail = page.locator('.det figure').first();
    await page.mouse.move(box.x + 22, box.y + 20);
    await page.mouse.down();
    await page.mouse.move(box.x + 102, box.y + 20, { steps: 4 });
    const during = (await detail.textContent())!.match(/([\d.]+) given/)![1]!;
    expect(Number(during)).toBeGreaterThan(0.2);
    await page.mouse.up();
    await settled(page);
    expect(Number(await field(page, 'Clearance').inputValue())).toBe(Number(during));
    expect(await detail.textContent()).toContain(`${during} given`);
    noComplaint(opened);
  });

  it('marks a wrong or half entry in its own row, and keeps the last good result', async () => {
    const opened = await withFern();
    const { page } = opened;
    const before = await page.textContent('#verdict h1');
    await field(page, 'x of B').fill('79x.12');
    expect(await field(page, 'x of B').getAttribute('aria-invalid')).toBe('true');
    expect(await field(page, 'y of B').getAttribute('aria-invalid')).toBeNull();
    expect(await page.textContent('.whynot')).toContain('“79x.12” is no number');
    await field(page, 'x of B').fill('');
    await field(page, 'x of A').focus();
    expect(await page.textContent('.whynot')).toContain('x is missing');
    expect(await field(page, 'x of B').getAttribute('aria-invalid')).toBe('true');
    expect(await page.textContent('#verdict h1')).toBe(before);
    expect(await page.getAttribute('#verdict', 'class')).toContain('old');
    expect(await page.textContent('#verdict')).toContain('Mark B: x is missing. This is from before it.');
    expect(await page.getByRole('button', { name: 'Save SVG' }).isDisabled()).toBe(true);
    expect(await violations(page)).toEqual([]);
    await field(page, 'x of B').fill('795,12');
    await settled(page);
    expect(await page.locator('.whynot').count()).toBe(0);
    await field(page, 'Kerf').fill('1.2,5');
    expect(await field(page, 'Kerf').getAttribute('aria-invalid')).toBe('true');
    await field(page, 'Kerf').fill('-1');
    await settled(page);
    expect(await field(page, 'Kerf').getAttribute('aria-invalid')).toBe('true');
    expect(await page.textContent('#verdict')).toContain('cut.kerf');
    await field(page, 'Kerf').fill('0.12');
    await page.waitForSelector('#verdict[data-state=fits]');
    noComplaint(opened);
  });

  it('undoes and does again, keeps all of it through a reload, and forgets it when it is cleared', async () => {
    const opened = await withFern();
    const { page } = opened;
    const button = (name: string) => page.getByRole('button', { name, exact: true });
    await field(page, 'y of D').fill('701.5');
    await field(page, 'x of A').focus();
    await button('Undo').click();
    expect(await field(page, 'y of D').inputValue()).toBe('700.96');
    await button('Redo').click();
    expect(await field(page, 'y of D').inputValue()).toBe('701.5');
    await button('Undo').click();
    await field(page, 'x of B').fill('half');
    await settled(page);
    await page.reload();
    await field(page, 'y of D').waitFor();
    expect(await field(page, 'y of D').inputValue()).toBe('700.96');
    expect(await field(page, 'x of B').inputValue()).toBe('half');
    expect(await field(page, 'Clearance').inputValue()).toBe('0.5');
    await page.waitForSelector('#verdict[data-state=fits]');
    await button('Clear').click();
    await page.waitForSelector('.beginning');
    await page.reload();
    await page.waitForSelector('.beginning');
    fern = undefined;
    noComplaint(opened);
    await page.context().close();
  });

  it('asks for the unit of a drawing that states none', async () => {
    const opened = await open(browser);
    const { page } = opened;
    const text = fernSvg.replace(/(width|height)="(\d+)mm"/g, '$1="$2"');
    await drop(page, [{ name: 'bare.svg', text }]);
    await page
      .getByLabel('Unit of the drawing')
      .or(page.getByLabel(/Else the unit/))
      .waitFor();
    expect(await page.textContent('.unitask')).toContain('105.8 × 158.8 mm');
    await page.locator('.unitask select').selectOption('mm');
    await page.waitForFunction(() => document.querySelector('.unitask') === null);
    expect(await page.textContent('.tb')).toContain('47 openings');
    noComplaint(opened);
    await page.context().close();
  });

  it('hands over the files that "reseat cut" writes, and a job that says the same', async () => {
    const opened = await withFern();
    const { page } = opened;
    const svg = await saved(page, 'Save SVG');
    expect(svg.name).toBe('fern-screen-cut.svg');
    expect(svg.text).toBe(cutTextOf(fernJob(), 'svg'));
    const job = await saved(page, 'Save job');
    expect(job.name).toBe('fern-screen.yaml');
    expect(checkOf(loadJob({ path: 'job.yaml', text: job.text }, files)).neededClearance).toBe(
      checkOf(fernJob()).neededClearance,
    );
    expect(await page.getByRole('button', { name: 'Save NC' }).isDisabled()).toBe(true);
    // Opened again, alone and then with its drawing.
    await page.getByRole('button', { name: 'Clear', exact: true }).click();
    await drop(page, [{ name: job.name, text: job.text }]);
    expect(await page.textContent('.notes')).toContain('fern-screen.svg: open it as well');
    await drop(page, [{ name: 'fern-screen.svg', text: fernSvg }]);
    await page.waitForSelector('#verdict[data-state=fits]');
    noComplaint(opened);
  });

  it('takes a job, its drawing, its machine and tables dropped together, and asks before another drawing', async () => {
    const opened = await open(browser);
    const { page } = opened;
    const read = (name: string): string => readFileSync(join(fernFolder, name), 'utf8');
    await drop(page, [
      { name: 'workshop.yaml', text: read('../profiles/workshop.yaml') },
      { name: 'fern-screen.svg', text: fernSvg },
      { name: 'job.yaml', text: read('job.yaml') },
      { name: 'notes.txt', text: 'nothing in here' },
    ]);
    await page.waitForSelector('#verdict[data-state=fits]');
    expect(await field(page, 'Piece').inputValue()).toBe('Fern screen, paper diffuser behind the panel');
    expect(await page.textContent('.notes')).toContain('notes.txt: neither a drawing');
    await page.getByRole('button', { name: 'Understood' }).click();
    await drop(page, [{ name: 'read.csv', text: 'mark;x;y\nA;429,67;157,21\nC;772,84;731,85\n' }]);
    await settled(page);
    expect(await field(page, 'x of B').inputValue()).toBe('');
    expect(await field(page, 'y of C').inputValue()).toBe('731.85');
    await drop(page, [{ name: 'other.svg', text: fernSvg }]);
    expect(await page.textContent('[role=alertdialog]')).toContain('other.svg is another drawing');
    await page.getByRole('button', { name: 'Keep readings and settings' }).click();
    await settled(page);
    expect(await page.textContent('.tb')).toContain('other.svg');
    expect(await field(page, 'x of A').inputValue()).toBe('429.67');
    noComplaint(opened);
    await page.context().close();
  });

  it('pastes a table into the field book', async () => {
    const opened = await withFern([]);
    const { page } = opened;
    await field(page, 'x of A').focus();
    const table = allMarks.map((m) => `${m}\t${fernReadings[m].join('\t').replace(/\./g, ',')}`).join('\n');
    await page.evaluate((text) => {
      const data = new DataTransfer();
      data.setData('text/plain', text);
      document.activeElement!.dispatchEvent(
        new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true }),
      );
    }, table);
    await settled(page);
    expect(await verdictState(page)).toBe('fits');
    expect(await field(page, 'y of D').inputValue()).toBe('700.96');
    noComplaint(opened);
  });

  it('has y count downwards without a profile, and cuts what "reseat cut" cuts then', async () => {
    const opened = await open(browser);
    const { page } = opened;
    const down = Object.fromEntries(
      allMarks.map((m) => [m, [fernReadings[m][0], Number((900 - fernReadings[m][1]).toFixed(2))]]),
    );
    await page.setInputFiles('#files', join(fernFolder, 'fern-screen.svg'));
    await field(page, 'x of A').waitFor();
    for (const mark of allMarks) {
      await field(page, `x of ${mark}`).fill(String(down[mark]![0]));
      await field(page, `y of ${mark}`).fill(String(down[mark]![1]));
    }
    await settled(page);
    // The mirror image of the marks: it is doubted, and what settles it is one tap.
    expect(await verdictState(page)).toBe('doubt');
    await page.getByRole('button', { name: 'Try axes: y-down' }).click();
    await settled(page);
    expect(await page.getByLabel('y counts').inputValue()).toBe('y-down');
    const { text } = await saved(page, 'Save SVG');
    const loaded = loadJob(
      {
        path: 'job.yaml',
        text: JSON.stringify({
          title: 'fern-screen',
          drawing: 'fern-screen.svg',
          readings: down,
          machine: { axes: 'y-down' },
        }),
      },
      files,
    );
    expect(text).toBe(cutTextOf(loaded, 'svg'));
    noComplaint(opened);
    await page.context().close();
  });

  it('doubts the slipped reading of the example in its row, and one tap tries what was meant', async () => {
    const opened = await open(browser);
    const { page } = opened;
    await page.getByRole('button', { name: /worked example/ }).click();
    await page.waitForSelector('#verdict[data-state=doubt]');
    await settled(page);
    expect(await page.textContent('#verdict h1')).toBe('A reading is in doubt.');
    expect(await page.textContent('.ask')).toContain('727.84, was it 772.84?');
    expect(await page.textContent('.next')).toContain(
      'Read again at C, where x is probably 772.84. Cut nothing before that.',
    );
    expect(await page.locator('.det figure, .fb tr.w').count()).toBe(0);
    expect(await page.locator('.cmp tbody tr').first().locator('td').allTextContents()).toEqual([
      '6.27',
      '0.03',
    ]);
    expect(await page.textContent('.refused')).toContain(
      'No cut is saved with readings that contradict each other',
    );
    expect(await violations(page)).toEqual([]);
    await page.getByRole('button', { name: 'Try 772.84' }).click();
    await page.waitForSelector('#verdict[data-state=fits]');
    await settled(page);
    expect(await page.locator('.det figure').count()).toBe(3);
    expect(await violations(page)).toEqual([]);
    const [job] = [await saved(page, 'Save job')];
    expect(job.text).toBe(readFileSync(join(fernFolder, 'job.yaml'), 'utf8'));
    await page.getByRole('button', { name: 'Undo' }).click();
    await page.waitForSelector('#verdict[data-state=doubt]');
    noComplaint(opened);
    await page.context().close();
  });

  it('comes filled in with a job and its machine from "reseat page JOB", whatever stands in its names', async () => {
    const shop = workshop();
    const hostile = '</script><img src=x onerror=alert(1)>';
    for (const [name, from] of [
      ['fern/job.yaml', 'job.yaml'],
      ['fern/fern-screen.svg', 'fern-screen.svg'],
      ['profiles/workshop.yaml', '../profiles/workshop.yaml'],
    ] as const) {
      shop.write(name, readFileSync(join(fernFolder, from), 'utf8'));
    }
    shop.write('fern/job.yaml', shop.read('fern/job.yaml').replace(/title: .*/, `title: "${hostile}"`));
    shop.write(
      'fern/fern-screen.svg',
      fernSvg.replace('id="moon"', 'id="&lt;img src=x onerror=alert(2)&gt;"'),
    );
    expect((await shop.call('page', 'fern/job.yaml', '-o', 'fern.html')).status).toBe(0);
    const expected = JSON.parse((await shop.call('check', 'fern/job.yaml', '--json')).out);
    const opened = await open(browser, join(shop.folder, 'fern.html'));
    const { page } = opened;
    await page.waitForSelector('#verdict[data-state=fits]');
    expect(await field(page, 'Piece').inputValue()).toBe(hostile);
    expect(await page.textContent('.rulesvg')).toContain(`${expected.neededClearance.toFixed(2)} needed`);
    expect(await page.locator('.fb tr[data-mark]').count()).toBe(5);
    expect(await field(page, 'Reading error').getAttribute('placeholder')).toBe('0.06');
    expect(await page.locator('img, script[src]').count()).toBe(0);
    expect(await page.textContent('.det')).toContain('<img src=x');
    noComplaint(opened);
    await page.context().close();
  });

  it('says first that a reading is in doubt, as "reseat check" does, and gives nothing that rests on it', async () => {
    const shop = workshop();
    shop.write('job.yaml', jobText({ disturbance: [0.05, -0.05, 5.4, -0.05] }));
    const { warnings, advice } = JSON.parse((await shop.call('check', 'job.yaml', '--json')).out);
    const opened = await withJob(shop);
    const { page } = opened;
    expect(await verdictState(page)).toBe('doubt');
    const told = await page.textContent('.det');
    const [first] = warnings.filter((w: { remedies?: unknown }) => w.remedies !== undefined);
    expect(told).toContain(first.message);
    expect(await page.textContent('.next')).toContain(advice[0].message);
    expect(await page.locator('.fb tr.doubt th').first().textContent()).toBe('C');
    noComplaint(opened);
    await page.context().close();
  });

  it('counts touches, witness readings and film of a job, and saves the job as it came', async () => {
    const shop = workshop();
    const two = (p: readonly number[]): string => p.map((v) => v.toFixed(2)).join(', ');
    const text = [
      '# Read on a Friday.',
      'title: Panel',
      'drawing: panel.svg',
      `readings: {A: [${two(placed(10, 10))}]}`,
      'touches:',
      `  - {on: outline, at: [[${two(placed(60, 0))}], [${two(placed(60, 0).map((v) => v + 0.05))}]]}`,
      `  - {on: outline, at: [${two(placed(0, 40))}]} # the left edge`,
      'witness:',
      `  - {point: C, reading: [${two(placed(190, 90))}]}`,
      'film: {width: 70, overlap: 5}',
      'fit: {reading-sd: 0.06}',
      'cut: {clearance: 0.5, kerf: 0.2}',
      '',
    ].join('\n');
    shop.write('job.yaml', text);
    const expected = JSON.parse((await shop.call('check', 'job.yaml', '--json')).out);
    const opened = await withJob(shop);
    const { page } = opened;
    expect(await verdictState(page)).toBe(expected.verdict);
    expect(await page.textContent('.rulesvg')).toContain(`${expected.neededClearance.toFixed(2)} needed`);
    expect(await field(page, 'x, touch 3').inputValue()).toBe(placed(0, 40)[0].toFixed(2));
    expect((await saved(page, 'Save job')).text).toBe(text);
    noComplaint(opened);
    await page.context().close();
  });

  it('places a panel by eight touches begun in the plan, without a mark', async () => {
    const opened = await open(browser);
    const { page } = opened;
    const bare = panel.replace(/<g id="marks">[\s\S]*?<\/g>/, '');
    await drop(page, [{ name: 'panel.svg', text: bare }]);
    await page.waitForSelector('.panel');
    const touched = [
      [40, 0],
      [160, 0],
      [200, 30],
      [200, 80],
      [150, 100],
      [30, 100],
      [0, 70],
      [0, 20],
    ] as const;
    for (const [i, [x, y]] of touched.entries()) {
      if (i < 2) {
        // Where a finger goes on the edge of the panel as it is drawn.
        const at = await page.locator('.panel').evaluate(
          (path, p) => {
            const m = (path as SVGPathElement).getScreenCTM()!;
            return [m.a * p.x + m.c * p.y + m.e, m.b * p.x + m.d * p.y + m.f] as const;
          },
          { x, y },
        );
        await page.mouse.click(at[0] + 1, at[1] - 1);
      } else await page.getByRole('button', { name: 'Touch the outline' }).click();
      const [px, py] = placed(x, y).map((v) => v.toFixed(2));
      await field(page, `x, touch ${i + 1}`).fill(px!);
      await field(page, `y, touch ${i + 1}`).fill(py!);
    }
    await page.getByLabel('y counts').selectOption('y-up');
    await field(page, 'Reading error').fill('0.06');
    await settled(page);
    const { text } = await saved(page, 'Save job');
    const shop = workshop();
    shop.write('panel.svg', bare);
    shop.write('job.yaml', text);
    const expected = JSON.parse((await shop.call('check', 'job.yaml', '--json')).out);
    expect(expected.fit.touches).toHaveLength(8);
    expect(await verdictState(page)).toBe(expected.verdict);
    expect(await page.locator('.fb tr[data-line^="t:"] .off span').allTextContents()).toEqual(
      expected.fit.touches.map(({ residual }: { residual: number }) => Math.abs(residual).toFixed(2)),
    );
    expect(await violations(page)).toEqual([]);
    noComplaint(opened);
    await page.context().close();
  });

  it('cuts drawn lines once more, and asks how far they may lie off', async () => {
    const opened = await withFern();
    const { page } = opened;
    await page.getByRole('button', { name: 'Settings' }).click();
    await page.getByLabel('What is cut', { exact: true }).selectOption('as-drawn');
    // Clearance and kerf have no use then, and are refused beside it.
    await page.getByRole('button', { name: 'Putting back' }).click();
    await settled(page);
    expect(await page.textContent('#verdict')).toMatch(/Say how far the cut may lie off/);
    await field(page, 'Allowed deviation').fill('0,4');
    await page.waitForSelector('#verdict[data-state=fits]');
    const loaded = loadJob(
      {
        path: 'job.yaml',
        text: JSON.stringify({
          drawing: 'fern-screen.svg',
          readings: fernReadings,
          machine: { axes: 'y-up' },
          fit: { 'reading-sd': 0.1 },
          cut: { kind: 'as-drawn' },
          check: { 'allowed-deviation': 0.4 },
        }),
      },
      files,
    );
    expect(await page.textContent('.rulesvg')).toContain(
      `${checkOf(loaded).neededClearance!.toFixed(2)} needed`,
    );
    noComplaint(opened);
  });

  it('tells roles by touch in a drawing without layers or names, and the job has what was told', async () => {
    const opened = await open(browser);
    const { page } = opened;
    const bare = fernSvg.replace(/<g id="[^"]*"/g, '<g').replace(/ id="[^"]*"/g, '');
    await drop(page, [{ name: 'bare.svg', text: bare }]);
    await page.getByText('It is not certain what is what').waitFor();
    await page.getByRole('button', { name: 'Tell by touch' }).click();
    await page.getByRole('switch', { name: 'marks', exact: true }).click();
    // The mark in the lower left corner, drawn at 18, 18.
    const at = await page.locator('.plan .panel').evaluate((path) => {
      const m = (path as SVGPathElement).getScreenCTM()!;
      return [m.a * 18 + m.c * 18 + m.e, m.b * 18 + m.d * 18 + m.f] as const;
    });
    await page.mouse.click(...at);
    await page.getByRole('button', { name: 'all 4 of its size' }).click();
    await page.getByText('4 marks, 47 openings, 1 the panel’s edge').waitFor();
    await page.getByRole('button', { name: 'Done' }).click();
    expect(await page.locator('.fb tr[data-mark]').count()).toBe(4);
    const { text } = await saved(page, 'Save job');
    expect(text).toMatch(/^roles: \{marks: \[/m);
    const shop = workshop();
    shop.write('bare.svg', bare);
    shop.write('job.yaml', text);
    const { shapes } = JSON.parse((await shop.call('list', 'job.yaml', '--json')).out);
    const count = (role: string) => shapes.filter((shape: { role: string }) => shape.role === role).length;
    expect([count('mark'), count('opening'), count('outline')]).toEqual([4, 47, 1]);
    noComplaint(opened);
    await page.context().close();
  });

  it('plans marks before piercing, and saves the drawing that "reseat plan" writes', async () => {
    const shop = workshop();
    const bare = panel.replace(/<g id="marks">[\s\S]*?<\/g>/, '');
    shop.write('panel.svg', bare);
    shop.write('job.yaml', 'title: panel\ndrawing: panel.svg\nfit: {reading-sd: 0.08}\nplan: {marks: 3}\n');
    const expected = JSON.parse((await shop.call('plan', 'job.yaml', '-o', 'marked.svg', '--json')).out);
    const opened = await open(browser);
    const { page } = opened;
    await drop(page, [
      { name: 'panel.svg', text: bare },
      { name: 'job.yaml', text: shop.read('job.yaml') },
    ]);
    await page.getByRole('button', { name: 'Before piercing' }).click();
    await page.getByRole('img', { name: /^The panel with/ }).waitFor();
    const rows = await page.locator('.inside table').first().locator('tbody tr').allInnerTexts();
    expect(rows.map((row) => row.split(/\s+/))).toEqual(
      expected.chosen.places.map(({ name, at }: { name: string; at: number[] }) => [
        name,
        'new',
        ...at.map((v) => v.toFixed(2)),
      ]),
    );
    const marked = await saved(page, 'Save the marked drawing');
    expect(marked.name).toBe('panel-marked.svg');
    expect(marked.text).toBe(shop.read('marked.svg'));
    expect(await violations(page)).toEqual([]);
    noComplaint(opened);
    await page.context().close();
  });

  it('writes the profile that "reseat calibrate" writes from the same measurements', async () => {
    const opened = await open(browser);
    const { page } = opened;
    const example = join(fernFolder, '../example-machine');
    const shop = workshop();
    shop.write('machine.yaml', 'name: Bench\nsize: [600, 400]\naxes: y-up\n');
    shop.write('job.yaml', 'drawing: panel.svg\nmachine: machine.yaml\n');
    await drop(
      page,
      ['machine.yaml', 'panel.svg', 'job.yaml'].map((name) => ({ name, text: shop.read(name) })),
    );
    await page.getByRole('button', { name: 'Know your machine' }).click();
    await field(page, 'Measured on').fill('2026-11-25');
    for (const part of ['pointer', 'kerf']) {
      const text = readFileSync(join(example, `${part}.csv`), 'utf8');
      shop.write(`${part}.csv`, text);
      const args = ['calibrate', part, `${part}.csv`, '--profile', 'machine.yaml', '--date', '2026-11-25'];
      expect((await shop.call(...args)).status).toBe(0);
      await page.getByRole('button', { name: part === 'kerf' ? 'Kerf' : 'Pointer', exact: true }).click();
      const rows = text
        .split('\n')
        .filter((line) => line !== '' && !line.startsWith('#'))
        .map((line) => line.split(','));
      const [head, ...lines] = rows;
      await page.locator('.form input').first().waitFor();
      for (const [i, line] of lines.entries())
        for (const [k, cell] of line.entries()) {
          const input = field(page, `${head![k]}, row ${i + 1}`);
          // Typed as a workshop does, with a comma.
          if (cell !== '' && (await input.count()) > 0) await input.fill(cell.replace('.', ','));
        }
      const write = page.getByRole('button', { name: 'Write it into machine.yaml' });
      await page.waitForFunction(
        () => document.querySelector<HTMLButtonElement>('.acts3 .strong')?.disabled === false,
      );
      await write.click();
    }
    expect(await violations(page)).toEqual([]);
    const profile = await saved(page, 'Save profile');
    expect(profile.text).toBe(shop.read('machine.yaml'));
    noComplaint(opened);
    await page.context().close();
  }, 120_000);

  it('lays film in strips as "reseat cut" does, and turns and shifts for a machine that takes no file', async () => {
    const opened = await withFern();
    const { page } = opened;
    await page.getByRole('button', { name: 'Film in strips' }).click();
    await field(page, 'Overlap').fill('6');
    await field(page, 'Width of the roll').fill('300');
    await page.waitForSelector('.coords');
    await settled(page);
    const { text } = await saved(page, 'Save job');
    const done = cutJob(loadJob({ path: 'job.yaml', text }, files));
    if (!done.ok) throw new Error(done.failure.reason);
    const cells = (await page.locator('.det .coords tbody td').allTextContents()).map(Number);
    expect(cells).toEqual(
      done.film!.strips.flatMap(({ corners: [a, b, c, d] }) =>
        [a!, b!, d!, c!].flatMap(({ x, y }) => [x, y].map((v) => Number(v.toFixed(2)))),
      ),
    );
    await page.getByRole('button', { name: 'Settings' }).click();
    const told = (await page.textContent('#by-hand'))!;
    const [turn, x, y] = told
      .match(/A(-?[\d.]+)°then shift byx (-?[\d.]+), y (-?[\d.]+)/)!
      .slice(1)
      .map(Number);
    // The machine is square and true: turning about A (18, 18) and shifting is all there is to it.
    const [a, b, , , e, f] = done.fit.matrix;
    expect(turn).toBeCloseTo((Math.atan2(b, a) * 180) / Math.PI, 4);
    expect(x).toBeCloseTo(a * 18 - b * 18 + e - 18, 3);
    expect(y).toBeCloseTo(b * 18 + a * 18 + f - 18, 3);
    expect(told.length).toBeGreaterThan(0);
    await page.getByRole('button', { name: 'Putting back' }).click();
    noComplaint(opened);
  });

  it('prints on one page, with every coordinate that is needed at the machine', async () => {
    const opened = await withFern();
    const { page } = opened;
    const pdf = (await page.pdf({ format: 'A4' })).toString('latin1');
    expect(pdf.match(/\/Type\s*\/Page[^s]/g)).toHaveLength(1);
    const letter = (await page.pdf({ format: 'Letter' })).toString('latin1');
    expect(letter.match(/\/Type\s*\/Page[^s]/g)).toHaveLength(1);
    const text = (await page.textContent('.run'))!;
    for (const mark of allMarks) for (const v of fernReadings[mark]) expect(text).toContain(String(v));
    for (const { at } of checkOf(fernJob()).witness.slice(0, 4))
      for (const v of at) expect(text).toContain(v.toFixed(2));
    expect(text).toMatch(/SHA-256: drawing [0-9a-f]{12}, job [0-9a-f]{12}/);
    expect(text).toContain('PVC');
    noComplaint(opened);
  });

  it('fits a phone and a tablet: nothing reaches out to the side, the verdict stays in sight', async () => {
    const opened = await withFern(allMarks, { width: 360, height: 780 });
    const { page } = opened;
    expect(await sideways(page)).toBeLessThanOrEqual(0);
    for (const place of ['.piece', '.plan', '.det']) {
      await page.locator(place).scrollIntoViewIfNeeded();
      const box = (await page.locator('#verdict').boundingBox())!;
      expect(box.y).toBeGreaterThan(0);
      expect(box.y + box.height).toBeLessThanOrEqual(780);
      expect(box.height).toBeLessThan(780 / 6);
    }
    await page.getByRole('button', { name: 'Settings' }).click();
    expect(await sideways(page)).toBeLessThanOrEqual(0);
    expect(await violations(page)).toEqual([]);
    await page.getByRole('button', { name: 'Putting back' }).click();
    for (const size of [
      { width: 820, height: 1180 },
      { width: 1280, height: 900 },
      { width: 2560, height: 1440 },
    ]) {
      await page.setViewportSize(size);
      const seen = await page.evaluate(() =>
        ['.tb', '.book', '.plan', '.det', 'footer.line'].map((one) => {
          const { top, bottom, left, right } = document.querySelector(one)!.getBoundingClientRect();
          return top >= 0 && left >= 0 && bottom <= innerHeight && right <= innerWidth;
        }),
      );
      expect(seen, `${size.width} wide`).toEqual([true, true, true, true, true]);
    }
    noComplaint(opened);
  });

  it('shows a long verdict and what is stated of the readings without cutting them off', async () => {
    const opened = await withFern();
    const { page } = opened;
    await field(page, 'Clearance').fill('60');
    await field(page, 'Reading error').fill('');
    await settled(page);
    expect(await page.locator('#verdict').textContent()).toContain('breaks through the edge');
    for (const size of [wide, { width: 820, height: 1180 }, { width: 2560, height: 1440 }]) {
      await page.setViewportSize(size);
      const hidden = await page.evaluate(() => {
        const box = document.querySelector('#verdict')!;
        const reading = document.querySelector<HTMLInputElement>('[aria-label="Reading error"]')!;
        const pen = document.createElement('canvas').getContext('2d')!;
        pen.font = `${getComputedStyle(reading, '::placeholder').fontSize} ${getComputedStyle(reading).fontFamily}`;
        return [
          box.scrollHeight - box.clientHeight,
          pen.measureText(reading.placeholder).width - reading.clientWidth,
        ];
      });
      expect(Math.max(...hidden), `${size.width} wide`).toBeLessThanOrEqual(0);
    }
    noComplaint(opened);
  });

  it('lets nothing run that is not its own, and is small enough to be mailed', () => {
    const text = readFileSync(builtPage, 'utf8');
    const policy = /http-equiv="Content-Security-Policy" content="([^"]*)"/.exec(text)![1]!;
    expect(policy).not.toContain('unsafe');
    expect(policy).toMatch(/script-src 'sha256-[^']{44}'/);
    expect(text.length).toBeLessThan(1_100_000);
  });
});

describe('reseat page', () => {
  it.each([
    [['page'], 'no place for the page'],
    [['page', '-o', 'a.svg'], 'a page whose name does not end in .html'],
    [['page', 'nowhere.yaml', '-o', 'a.html'], 'nowhere.yaml'],
  ])('refuses %j', async (argv, found) => {
    const shop = workshop();
    const { status, err } = await shop.call(...argv);
    expect(status).toBe(2);
    expect(err).toContain(found);
    expect(shop.files()).toEqual(['job.yaml', 'panel.svg']);
  });

  it('writes an empty page, and replaces none without --force', async () => {
    const shop = workshop();
    expect((await shop.call('page', '-o', 'a.html')).status).toBe(0);
    expect(shop.read('a.html')).toContain('<script type="application/json" id="given">null</script>');
    expect((await shop.call('page', '-o', 'a.html')).status).toBe(2);
    expect((await shop.call('page', '-o', 'a.html', '--force')).status).toBe(0);
  });

  it('tells a fault of the job at once, and not in the browser', async () => {
    const shop = workshop();
    shop.write('job.yaml', shop.read('job.yaml').replace('clearance: 0.5', 'clearence: 0.5'));
    const { status, err } = await shop.call('page', 'job.yaml', '-o', 'a.html');
    expect(status).toBe(2);
    expect(err).toContain('Did you mean "clearance"?');
  });
});
