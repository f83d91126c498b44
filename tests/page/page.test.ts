import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { checkJob, checkJson, cutJob, loadJob, writeCutFile } from '../../src/index.js';
import { jobText, panel, placed, workshop } from '../cli/workshop.js';
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
  wide,
} from './browser.js';

const files = { read: (path: string) => new Uint8Array(readFileSync(join(fernFolder, path))) };

const allMarks = ['A', 'B', 'C', 'D'] as const;

const fernJob = (marks: readonly (keyof typeof fernReadings)[] = allMarks, clearance = 0.5) =>
  loadJob(
    {
      path: 'job.yaml',
      text: JSON.stringify({
        drawing: 'fern-screen.svg',
        readings: Object.fromEntries(marks.map((mark) => [mark, fernReadings[mark]])),
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

  let fern: OpenPage | undefined;
  /** One page with the fern screen in it, in which each test types over what the one before it typed. */
  const withFern = async (
    marks: readonly (keyof typeof fernReadings)[] = allMarks,
    size = wide,
  ): Promise<OpenPage> => {
    if (fern === undefined) {
      fern = await open(browser);
      expect(await fern.page.textContent('#verdict-word')).toBe('Not checked yet');
    }
    await fern.page.setViewportSize(size);
    await fillFern(fern.page, marks);
    return fern;
  };

  /** The page with the job of a workshop. */
  const withJob = async (shop: ReturnType<typeof workshop>): Promise<OpenPage> => {
    expect((await shop.call('page', 'job.yaml', '-o', 'job.html')).status).toBe(0);
    const opened = await open(browser, join(shop.folder, 'job.html'));
    await settled(opened.page);
    return opened;
  };

  it('shows the verdict, the risk and the needed clearance that "reseat check" gives, without any network', async () => {
    const opened = await withFern();
    const { page } = opened;
    expect(await page.getAttribute('#verdict', 'data-verdict')).toBe('fits');
    const expected = checkOf(fernJob());
    const found = await shown(page);
    expect(found.verdict).toBe(expected.verdict);
    expect(found.needed).toBeCloseTo(expected.neededClearance!, 9);
    expect(found.risk).toBeCloseTo(expected.risk!, 9);
    const distances = await page.locator('#marks .off').allTextContents();
    expect(distances).toEqual(expected.fit!.marks.map(({ distance }) => `${distance.toFixed(2)} mm`));
    expect(await page.locator('#picture path.beam').count()).toBeGreaterThan(40);
    expect(await page.locator('#picture .arrow').count()).toBe(4);
    noComplaint(opened);
  });

  it('is no surer than two readings: it says what nothing checks', async () => {
    const opened = await withFern(['A', 'C']);
    const { page } = opened;
    const expected = checkOf(fernJob(['A', 'C']));
    expect((await shown(page)).verdict).toBe(expected.verdict);
    const said = await page.locator('#warning-list li, #advice li').allTextContents();
    for (const { message } of expected.warnings) expect(said).toContain(message);
    noComplaint(opened);
  });

  it('follows the slider from the keyboard, down to where it does not fit', async () => {
    const opened = await withFern();
    const { page } = opened;
    expect(await page.getAttribute('#verdict', 'data-verdict')).toBe('fits');
    await page.focus('#slider');
    await page.keyboard.press('Home');
    await page.waitForSelector('#verdict[data-verdict=does-not-fit]');
    await page.locator('#slider').fill('0.2');
    await settled(page);
    const expected = checkOf(fernJob(allMarks, 0.2));
    await page.waitForFunction(
      (risk) => Math.abs(Number(document.getElementById('shown-risk')!.dataset.value) - risk) < 1e-9,
      expected.risk!,
    );
    expect(await page.inputValue('#clearance')).toBe('0.2');
    expect((await shown(page)).verdict).toBe(expected.verdict);
    expect(await page.isVisible('#hand-over-verdict')).toBe(expected.verdict !== 'fits');
    noComplaint(opened);
  });

  it('says what is wrong beside the field, and shows no verdict until it is put right', async () => {
    const opened = await withFern();
    const { page } = opened;
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
    expect(await page.textContent('#drawing-facts')).toContain('105.8 × 158.8 mm');
    expect(await page.textContent('body')).toContain('The panel is 105.8 x 158.8 mm');
    await page.getByLabel('Unit of the drawing').selectOption('mm');
    await settled(page);
    expect(await page.textContent('#drawing-facts')).toContain('400.0 × 600.0 mm, 47 openings');
    noComplaint(opened);
    await page.close();
  });

  it('hands over the files that "reseat cut" writes, below the cautions', async () => {
    const opened = await withFern();
    const { page } = opened;
    expect(await page.isVisible('#hand-over')).toBe(true);
    const saved = async (what: string): Promise<{ name: string; text: string }> => {
      const [download] = await Promise.all([
        page.waitForEvent('download'),
        page.click(`[data-save=${what}]`),
      ]);
      return { name: download.suggestedFilename(), text: readFileSync(await download.path(), 'utf8') };
    };
    const done = cutJob(fernJob());
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

  it('says first that a reading is in doubt, as "reseat check" does, and gives nothing that rests on it', async () => {
    const shop = workshop();
    shop.write('job.yaml', jobText({ disturbance: [0.05, -0.05, 5.4, -0.05] }));
    const terminal = (await shop.call('check', 'job.yaml')).out;
    expect(terminal).toContain('Next: read again at C');
    expect(terminal.split('\n')[3]).toMatch(/^A reading is in doubt/);
    const opened = await withJob(shop);
    const { page } = opened;
    expect(await page.getAttribute('#verdict', 'data-verdict')).toBe('doubt');
    expect(await page.textContent('#verdict-word')).toBe('A reading is in doubt');
    expect(await page.textContent('#verdict-why')).toContain('Read again at C');
    expect(await page.textContent('#verdict-why')).toContain('Cut nothing before that.');
    const next = await page.locator('#advice li').allTextContents();
    const { warnings, advice } = JSON.parse((await shop.call('check', 'job.yaml', '--json')).out);
    expect(advice[0]).toMatchObject({ kind: 'read-again', marks: ['C'] });
    const doubts = warnings.filter((w: { remedies?: unknown }) => w.remedies !== undefined);
    expect(next).toEqual([...doubts, ...advice].map(({ message }) => message));
    for (const id of ['#figures', '#slide', '#openings', '#witness', '#picture .place']) {
      expect(await page.locator(id).first().isVisible(), id).toBe(false);
    }
    expect(await page.textContent('#hand-over-verdict')).toContain('read again at C');
    expect(await page.locator('#marks tr.doubt th span').allTextContents()).toEqual(['C']);
    // "look again" takes no room from the buttons beside it.
    for (const width of [1280, 1100, 420]) {
      await page.setViewportSize({ width, height: 800 });
      const over = await page.evaluate(() => {
        const frame = document.querySelector('#marks')!.parentElement!;
        const edge = frame.getBoundingClientRect().right;
        const rights = [...frame.querySelectorAll('button')].map((b) => b.getBoundingClientRect().right);
        return [frame.scrollWidth - frame.clientWidth, Math.max(...rights) - edge];
      });
      expect(Math.max(...over), `${width} wide`).toBeLessThanOrEqual(0.01);
    }
    // Put right, it is judged again.
    await page.getByLabel('Display x over mark C').fill(String(placed(190, 90)[0].toFixed(2)));
    await page.waitForSelector('#verdict[data-verdict=fits]');
    expect(await page.isVisible('#figures')).toBe(true);
    noComplaint(opened);
    await page.close();
  });

  it('tells what the job makes of the drawing, and the witness points that "reseat check" lists, named in the picture', async () => {
    const shop = workshop();
    shop.write(
      'panel.svg',
      panel
        .replace('id="marks"', 'id="pegs"')
        .replace('id="openings"', 'id="fronds"')
        .replace('id="outline"', 'id="rim"')
        .replace('id="C"', 'id="the-upper-right-peg"'),
    );
    const more = 'roles: {marks: pegs, openings: [fronds, not moon], outline: rim}';
    shop.write('job.yaml', jobText({ more }).replace('  C:', '  the-upper-right-peg:'));
    const opened = await withJob(shop);
    const { page } = opened;
    await page.waitForSelector('#verdict[data-verdict=fits]');
    expect(await page.textContent('#drawing-facts')).toBe('200.0 × 100.0 mm, 1 opening, an outline, 4 marks');
    const lines = (await shop.call('check', 'job.yaml')).out.split('\n');
    const listed = lines.flatMap(
      (line) => /^ +(\S+) +corner +\[[^\]]+\] +(\S+) +(\S+) +\S+ mm$/.exec(line)?.slice(1) ?? [],
    );
    const rows = await page.locator('#witness-rows tr').all();
    const told: string[] = [];
    for (const [i, row] of rows.entries()) {
      const [x, y] = await row.locator('td').allTextContents();
      const over = (await row.locator('th').textContent())!;
      expect(over).toBe(`${i + 1} a corner of window`);
      told.push('window', x!, y!);
    }
    expect(told.length).toBeGreaterThanOrEqual(9);
    expect(told).toEqual(listed);
    expect(await page.locator('#picture .place').count()).toBe(rows.length);
    const names = await page.locator('#picture .of-place').allTextContents();
    expect(names).toEqual(rows.map((_, i) => `${i + 1} window`));
    // The whole of every name is seen.
    for (const width of [1280, 420]) {
      await page.setViewportSize({ width, height: 800 });
      const cut = await page.evaluate(() => {
        const frame = document.querySelector('#picture svg')!.getBoundingClientRect();
        return [...document.querySelectorAll('#picture text')]
          .filter((text) => {
            const { left, right, top, bottom } = text.getBoundingClientRect();
            return left < frame.left || right > frame.right || top < frame.top || bottom > frame.bottom;
          })
          .map(({ textContent }) => textContent);
      });
      expect(cut, `${width} wide`).toEqual([]);
    }
    expect(await page.locator('#picture .of-mark').allTextContents()).toContain('the-upper-right-peg');
    // So it is understood before anything was read.
    for (const field of await page.locator('#marks tbody input').all()) await field.fill('');
    await page.waitForSelector('#verdict[data-verdict=none]');
    await settled(page);
    expect(await page.textContent('#drawing-facts')).toContain('1 opening, an outline, 4 marks');
    expect(await page.isVisible('#figure')).toBe(true);
    noComplaint(opened);
    await page.close();
  });

  it('keeps the verdict in sight on a phone, and each reading whole beside where its mark is drawn', async () => {
    const opened = await withFern(allMarks, { width: 420, height: 800 });
    const { page } = opened;
    expect(await page.getAttribute('#verdict', 'data-verdict')).toBe('fits');
    const brief = page.locator('#brief');
    for (const place of ['#drop', '#marks', '#kerf', '#hand-over']) {
      await page.locator(place).scrollIntoViewIfNeeded();
      expect(await brief.textContent()).toContain('It fits');
      const box = (await brief.boundingBox())!;
      expect(box.y).toBeGreaterThanOrEqual(0);
      expect(box.y + box.height).toBeLessThan(200);
    }
    const heights = await page
      .locator('#marks .off span')
      .evaluateAll((spans) => spans.map((span) => span.getClientRects().length));
    expect(Math.max(...heights)).toBeLessThanOrEqual(2); // "off by:" and the figure, on one line
    const tops = await page
      .locator('#marks tbody tr')
      .evaluateAll((rows) =>
        rows.map((row) => row.querySelector('.off span')!.getBoundingClientRect().height / 16),
      );
    expect(Math.max(...tops)).toBeLessThan(2);
    for (const drawnAt of await page.locator('#marks th small').all()) {
      expect(await drawnAt.isVisible()).toBe(true);
    }
    expect(await page.isVisible('#brief')).toBe(true);
    await page.setViewportSize({ width: 1280, height: 800 });
    expect(await page.isVisible('#brief')).toBe(false);
    noComplaint(opened);
  });

  it('counts touches, witness readings and film of a job, says what is not shown, and saves the job as it came', async () => {
    const shop = workshop();
    const [corner, low, left] = [placed(190, 90), placed(60, 0), placed(0, 40)];
    const text = [
      '# Read on a Friday.',
      'title: Panel',
      'drawing: panel.svg',
      `readings: {A: [${placed(10, 10)
        .map((v) => v.toFixed(2))
        .join(', ')}]}`,
      'touches:',
      `  - {on: outline, at: [[${low.map((v) => v.toFixed(2)).join(', ')}], [${low.map((v) => (v + 0.05).toFixed(2)).join(', ')}]]}`,
      `  - {on: outline, at: [${left.map((v) => v.toFixed(2)).join(', ')}]} # the left edge`,
      'witness:',
      `  - {point: C, reading: [${corner.map((v) => v.toFixed(2)).join(', ')}]}`,
      'film: {width: 70, overlap: 5}',
      'fit: {reading-sd: 0.06}',
      'cut: {clearance: 0.5, kerf: 0.2}',
      '',
    ].join('\n');
    shop.write('job.yaml', text);
    const expected = JSON.parse((await shop.call('check', 'job.yaml', '--json')).out);
    expect(expected.fit.touches).toHaveLength(2);
    const opened = await withJob(shop);
    const { page } = opened;
    const found = await shown(page);
    expect(found.verdict).toBe(expected.verdict);
    expect(found.needed).toBeCloseTo(expected.neededClearance, 9);
    expect(await page.textContent('#other-readings')).toMatch(
      /^The job file also has 2 touches and 1 witness reading\. They count here as well;/,
    );
    for (const place of ['#kept', '#cut-summary']) {
      expect(await page.textContent(place)).toContain('"reseat cut" tells it.');
    }
    const [download] = await Promise.all([page.waitForEvent('download'), page.click('[data-save=yaml]')]);
    expect(readFileSync(await download.path(), 'utf8')).toBe(text);
    noComplaint(opened);
    await page.close();
  });

  it('checks a job of touches alone', async () => {
    const shop = workshop();
    const touches = [
      [40, 0],
      [160, 0],
      [200, 30],
      [200, 80],
      [150, 100],
      [30, 100],
      [0, 70],
      [0, 20],
    ].map(
      ([x, y]) =>
        `  - {on: outline, at: [${placed(x!, y!)
          .map((v) => v.toFixed(2))
          .join(', ')}]}`,
    );
    const moon = `  - {on: moon, at: [${placed(70, 50)
      .map((v) => v.toFixed(2))
      .join(', ')}]}`;
    const lines = [
      'drawing: panel.svg',
      'touches:',
      ...touches,
      moon,
      'fit: {reading-sd: 0.06}',
      'machine: {axes: y-up}',
      '',
    ];
    shop.write('job.yaml', lines.join('\n'));
    const expected = JSON.parse((await shop.call('check', 'job.yaml', '--json')).out);
    expect(expected.verdict).toBe('fits');
    const opened = await withJob(shop);
    const found = await shown(opened.page);
    expect(found.verdict).toBe('fits');
    expect(found.needed).toBeCloseTo(expected.neededClearance, 9);
    noComplaint(opened);
    await opened.page.close();
  });

  it('cuts drawn lines once more, and asks how far they may lie off', async () => {
    const opened = await withFern();
    const { page } = opened;
    await page.getByLabel('the drawn lines once more').check();
    await settled(page);
    expect(await page.isVisible('#clearance')).toBe(false);
    const fault = await page.textContent('.fault[data-for=check]');
    expect(fault).toContain('expected "check: {allowed-deviation: 0.2}"');
    expect(fault).toMatch(/at most 5 of 100 such jobs lie more than 0\.\d+ mm off/);
    expect(await page.textContent('#verdict-why')).toBe('Say how far the cut may lie off the drawn line.');
    // Where the part lies is known without it, and so is a reading that cannot be.
    expect(await page.locator('#marks .off').first().textContent()).toMatch(/mm$/);
    await page.getByLabel('Display x over mark C').fill('727.84');
    await page.waitForSelector('#marks tr.doubt');
    expect(await page.textContent('#advice li')).toContain('727.84 for 772.84');
    expect(await page.textContent('#verdict-word')).toBe('A reading is in doubt');
    await page.getByLabel('Display x over mark C').fill('772.84');
    await page.waitForSelector('#marks tr:not(.doubt)');
    await page.getByLabel('May lie off the line by').fill('0.4');
    await page.waitForSelector('#verdict[data-verdict=fits]');
    const loaded = loadJob(
      {
        path: 'job.yaml',
        text: JSON.stringify({
          drawing: 'fern-screen.svg',
          readings: fernReadings,
          fit: { 'reading-sd': 0.1 },
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
  });

  it('fits a phone: nothing reaches out to the side, and every field has a name', async () => {
    const opened = await open(browser, undefined, { width: 400, height: 800 });
    const { page } = opened;
    await fillFern(page);
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
