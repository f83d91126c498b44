import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { checkJob, checkJson, cutJob, loadJob, writeCutFile } from '../../src/index.js';
import { workshop } from '../cli/workshop.js';
import {
  fernFolder,
  fernReadings,
  fillFern,
  launch,
  missingBrowser,
  type OpenPage,
  open,
  settled,
  shown,
} from './browser.js';

const files = { read: (path: string) => new Uint8Array(readFileSync(join(fernFolder, path))) };

const fernJob = (marks: readonly (keyof typeof fernReadings)[], clearance = 0.5) =>
  loadJob(
    {
      path: 'job.yaml',
      text: JSON.stringify({
        drawing: 'fern-screen.svg',
        readings: Object.fromEntries(marks.map((mark) => [mark, fernReadings[mark]])),
        fit: { 'reading-sd': 0.06 },
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

const numbers = /-?\d+(\.\d+)?/g;

/** The same text but for the last digit of its numbers: sines differ in theirs from one engine to the next. */
const expectSame = (text: string, expected: string): void => {
  expect(text.replace(numbers, '0')).toBe(expected.replace(numbers, '0'));
  const [found, wanted] = [text, expected].map((one) => one.match(numbers)!.map(Number));
  const apart = wanted!.map((value, i) => Math.abs(value - found![i]!));
  expect(Math.max(...apart)).toBeLessThan(1e-6);
};

const noComplaint = ({ complaints }: OpenPage): void => expect(complaints).toEqual([]);

describe.skipIf(missingBrowser !== undefined)('the page in a browser', () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await launch();
  }, 60_000);
  afterAll(async () => browser?.close());

  it('shows the verdict, the risk and the needed clearance that "reseat check" gives, without any network', async () => {
    const opened = await open(browser);
    const { page } = opened;
    expect(await page.textContent('#verdict-word')).toBe('Not checked yet');
    await fillFern(page, ['A', 'B', 'C', 'D']);
    await page.waitForSelector('#verdict[data-verdict=fits]');
    await settled(page);
    const expected = checkOf(fernJob(['A', 'B', 'C', 'D']));
    const found = await shown(page);
    expect(found.verdict).toBe(expected.verdict);
    expect(found.needed).toBeCloseTo(expected.neededClearance!, 9);
    expect(found.risk).toBeCloseTo(expected.risk!, 9);
    const distances = await page.locator('#marks .off').allTextContents();
    expect(distances).toEqual(expected.fit.marks.map(({ distance }) => `${distance.toFixed(2)} mm`));
    expect(await page.locator('#picture path.beam').count()).toBeGreaterThan(40);
    expect(await page.locator('#picture .arrow').count()).toBe(4);
    noComplaint(opened);
    await page.close();
  });

  it('is no surer than two readings: it says what nothing checks', async () => {
    const opened = await open(browser);
    const { page } = opened;
    await fillFern(page, ['A', 'C']);
    await settled(page);
    const expected = checkOf(fernJob(['A', 'C']));
    expect((await shown(page)).verdict).toBe(expected.verdict);
    const said = await page.locator('#warning-list li, #advice li').allTextContents();
    for (const { message } of expected.warnings) expect(said).toContain(message);
    noComplaint(opened);
    await page.close();
  });

  it('follows the slider from the keyboard, down to where it does not fit', async () => {
    const opened = await open(browser);
    const { page } = opened;
    await fillFern(page, ['A', 'B', 'C', 'D']);
    await page.waitForSelector('#verdict[data-verdict=fits]');
    await settled(page);
    await page.focus('#slider');
    await page.keyboard.press('Home');
    await page.waitForSelector('#verdict[data-verdict=does-not-fit]');
    await page.locator('#slider').fill('0.2');
    await settled(page);
    const expected = checkOf(fernJob(['A', 'B', 'C', 'D'], 0.2));
    await page.waitForFunction(
      (risk) => Math.abs(Number(document.getElementById('shown-risk')!.dataset.value) - risk) < 1e-9,
      expected.risk!,
    );
    expect(await page.inputValue('#clearance')).toBe('0.2');
    expect((await shown(page)).verdict).toBe(expected.verdict);
    expect(await page.isVisible('#hand-over-verdict')).toBe(expected.verdict !== 'fits');
    noComplaint(opened);
    await page.close();
  });

  it('says what is wrong beside the field, and shows no verdict until it is put right', async () => {
    const opened = await open(browser);
    const { page } = opened;
    await fillFern(page, ['A', 'B', 'C', 'D']);
    await page.getByLabel('Kerf, full width').fill('0,12');
    await settled(page);
    expect(await page.textContent('.fault[data-for="cut.kerf"]')).toContain(
      'Write the decimal point as a point: 0.12.',
    );
    expect(await page.getAttribute('#kerf', 'aria-invalid')).toBe('true');
    expect(await page.getAttribute('#verdict', 'data-verdict')).toBe('none');
    expect(await page.isVisible('#hand-over')).toBe(false);
    expect(await page.isVisible('#figure')).toBe(false);
    await page.getByLabel('Kerf, full width').fill('0.12');
    await page.waitForSelector('#verdict[data-verdict=fits]');
    expect(await page.textContent('.fault[data-for="cut.kerf"]')).toBe('');
    noComplaint(opened);
    await page.close();
  });

  it('asks for the unit of a drawing that states none', async () => {
    const opened = await open(browser);
    const { page } = opened;
    const text = readFileSync(join(fernFolder, 'fern-screen.svg'), 'utf8').replace(
      /(width|height)="(\d+)mm"/g,
      '$1="$2"',
    );
    await page.setInputFiles('#drawing', {
      name: 'bare.svg',
      mimeType: 'image/svg+xml',
      buffer: Buffer.from(text),
    });
    await page.waitForSelector('#units-field:not([hidden])');
    expect(await page.textContent('.fault[data-for=drawing]')).toContain('unit');
    await page.getByLabel('Unit of the drawing').selectOption('mm');
    await settled(page);
    expect(await page.textContent('#drawing-facts')).toContain('400.0 × 600.0 mm, 47 openings');
    noComplaint(opened);
    await page.close();
  });

  it('hands over the files that "reseat cut" writes, below the cautions', async () => {
    const opened = await open(browser);
    const { page } = opened;
    await fillFern(page, ['A', 'B', 'C', 'D']);
    await page.waitForSelector('#hand-over:not([hidden])');
    await settled(page);
    const saved = async (what: string): Promise<{ name: string; text: string }> => {
      const [download] = await Promise.all([
        page.waitForEvent('download'),
        page.click(`[data-save=${what}]`),
      ]);
      return { name: download.suggestedFilename(), text: readFileSync(await download.path(), 'utf8') };
    };
    const done = cutJob(fernJob(['A', 'B', 'C', 'D']));
    if (!done.ok) throw new Error(done.failure.reason);
    const svg = await saved('svg');
    expect(svg.name).toBe('fern-screen-cut.svg');
    expectSame(svg.text, writeCutFile(done.file, 'svg'));
    expectSame((await saved('dxf')).text, writeCutFile(done.file, 'dxf'));
    const job = await saved('yaml');
    expect(job.name).toBe('fern-screen.yaml');
    const again = checkOf(loadJob({ path: 'job.yaml', text: job.text }, files));
    expect(again.neededClearance).toBeCloseTo((await shown(page)).needed, 9);
    expect(await page.textContent('#cautions')).toContain('PVC');
    expect(await page.isVisible('[data-save=nc]')).toBe(false);
    noComplaint(opened);
    await page.close();
  });

  it('comes filled in with a job and its machine from "reseat page JOB"', async () => {
    const shop = workshop();
    for (const [name, from] of [
      ['fern/job.yaml', 'job.yaml'],
      ['fern/fern-screen.svg', 'fern-screen.svg'],
      ['profiles/workshop.yaml', '../profiles/workshop.yaml'],
    ] as const) {
      shop.write(name, readFileSync(join(fernFolder, from), 'utf8'));
    }
    shop.write('fern/job.yaml', shop.read('fern/job.yaml').replace(/title: .*/, 'title: "</script><b>Fern"'));
    expect((await shop.call('page', 'fern/job.yaml', '-o', 'fern.html')).status).toBe(0);
    const expected = JSON.parse((await shop.call('check', 'fern/job.yaml', '--json')).out);

    const opened = await open(browser, join(shop.folder, 'fern.html'));
    const { page } = opened;
    await page.waitForSelector('#verdict[data-verdict=fits]');
    expect(await page.textContent('#title')).toBe('</script><b>Fern');
    const found = await shown(page);
    expect(found.needed).toBeCloseTo(expected.neededClearance, 9);
    expect(await page.locator('#marks tbody tr').count()).toBe(5);
    expect(await page.inputValue('#clearance')).toBe('0.5');
    expect(await page.getAttribute('#reading-sd', 'placeholder')).toBe('0.06');
    // A reading put wrong is doubted by name.
    await page.getByLabel('Display x over mark C').fill('778.24');
    await page.waitForSelector('#marks tr.doubt');
    expect(await page.textContent('#marks tr.doubt th span')).toBe('C');
    expect(await page.textContent('#advice li')).toContain('778.24 for 772.84');
    noComplaint(opened);
    await page.close();
  });

  it('cuts drawn lines once more, and asks how far they may lie off', async () => {
    const opened = await open(browser);
    const { page } = opened;
    await fillFern(page, ['A', 'B', 'C', 'D']);
    await page.getByLabel('the drawn lines once more').check();
    await settled(page);
    expect(await page.isVisible('#clearance')).toBe(false);
    expect(await page.textContent('.fault[data-for=check]')).toContain('allowed-deviation');
    await page.getByLabel('May lie off the line by').fill('0.4');
    await page.waitForSelector('#verdict[data-verdict=fits]');
    const loaded = loadJob(
      {
        path: 'job.yaml',
        text: JSON.stringify({
          drawing: 'fern-screen.svg',
          readings: fernReadings,
          fit: { 'reading-sd': 0.06 },
          cut: { kind: 'as-drawn' },
          check: { 'allowed-deviation': 0.4 },
        }),
      },
      files,
    );
    expect((await shown(page)).needed).toBeCloseTo(checkOf(loaded).neededClearance!, 9);
    expect(await page.textContent('#needed-name')).toBe('needed deviation');
    expect(await page.isVisible('#slider')).toBe(false);
    noComplaint(opened);
    await page.close();
  });

  it('fits a phone: nothing reaches out to the side, and every field has a name', async () => {
    const opened = await open(browser, undefined, { width: 400, height: 800 });
    const { page } = opened;
    await fillFern(page, ['A', 'B', 'C', 'D']);
    await page.waitForSelector('#hand-over:not([hidden])');
    await page.click('summary');
    await page.getByText('Add a mark that is not drawn').click();
    expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(400);
    const hidden = await page
      .locator('#marks .off')
      .first()
      .evaluate((cell) => {
        const { right } = cell.getBoundingClientRect();
        return right > window.innerWidth;
      });
    expect(hidden).toBe(false);
    const nameless = await page.evaluate(() =>
      [...document.querySelectorAll<HTMLInputElement>('input, select, button')]
        .filter(
          (field) => !(field.labels?.length || field.getAttribute('aria-label') || field.textContent?.trim()),
        )
        .map((field) => field.outerHTML),
    );
    expect(nameless).toEqual([]);
    noComplaint(opened);
    await page.close();
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
