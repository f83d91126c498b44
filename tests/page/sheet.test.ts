import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { Browser, Page } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { jobText, panel, placed, workshop } from '../cli/workshop.js';
import {
  builtPage,
  drop,
  fernFolder,
  field,
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

const fernSvg = readFileSync(join(fernFolder, 'fern-screen.svg'), 'utf8');
const fernJob = readFileSync(join(fernFolder, 'job.yaml'), 'utf8');
const fernMachine = readFileSync(join(fernFolder, '../profiles/workshop.yaml'), 'utf8');

const two = (p: readonly number[]): string => p.map((v) => v.toFixed(2)).join(', ');

describe.skipIf(missingBrowser !== undefined)('the sheet in a browser', () => {
  let browser: Browser;
  let opened: OpenPage;
  beforeAll(async () => {
    browser = await launch();
    opened = await open(browser, builtPage, wide, true);
  }, 60_000);
  afterAll(async () => browser?.close());

  /** The same page, with another job in it. */
  const withFiles = async (given: Readonly<Record<string, string>>): Promise<Page> => {
    const { page } = opened;
    await page.setViewportSize(wide);
    const clear = page.getByRole('button', { name: 'Clear', exact: true });
    if (await clear.isEnabled()) await clear.click();
    await page.getByRole('button', { name: 'Putting back' }).click();
    await page.waitForSelector('.beginning');
    await drop(
      page,
      Object.entries(given).map(([name, text]) => ({ name, text })),
    );
    await page.waitForSelector('.panel');
    await settled(page);
    return page;
  };
  const fern = (job: string): Promise<Page> =>
    withFiles({ 'job.yaml': job, 'fern-screen.svg': fernSvg, 'workshop.yaml': fernMachine });

  it('has no fault for those who cannot see it, in any of its states and in dark', async () => {
    const { page } = opened;
    expect(await violations(page)).toEqual([]);
    const far = fernJob.replace(/readings:[\s\S]*?\n\n/, (all) =>
      all.replace(
        /\[(\d+\.\d+), (\d+\.\d+)\]/g,
        (_, x, y) => `[${two([602 + (Number(x) - 602) * 1.002, 441 + (Number(y) - 441) * 1.002])}]`,
      ),
    );
    for (const job of [
      far.replace('model: rigid', 'model: similarity').replace('corners: mitre', 'apply: rigid'),
      fernJob.replace('kind: opening', 'kind: inlay').replace('clearance: 0.5', 'clearance: 9'),
    ]) {
      await fern(job);
      expect(await verdictState(page)).toBe('does-not-fit');
      expect(await violations(page)).toEqual([]);
    }
    expect(await page.locator('.det figcaption').first().textContent()).toContain('vanishes');
    await fern(`${fernJob}\nfilm: {width: 300, overlap: 6}\n`);
    for (const name of ['Film in strips', 'Settings', 'Know your machine']) {
      await page.getByRole('button', { name }).click();
      await settled(page);
      expect(await violations(page)).toEqual([]);
    }
    await page.emulateMedia({ colorScheme: 'dark' });
    for (const name of ['Settings', 'Putting back']) {
      await page.getByRole('button', { name }).click();
      expect(await violations(page)).toEqual([]);
    }
    await page.emulateMedia({ colorScheme: 'light' });
    noComplaint(opened);
  }, 120_000);

  it('saves in each format, whichever way y counts, the very bytes that "reseat cut" writes', async () => {
    for (const axes of ['y-up', 'y-down']) {
      const shop = workshop();
      const place = (x: number, y: number): [number, number] => {
        const [px, py] = placed(x, y);
        return [px, axes === 'y-up' ? py : 600 - py];
      };
      const nc = 'nc: {feed: 900, before-cut: [M3], after-cut: [M5]}';
      const more = `machine: {axes: ${axes}, size: [800, 600], bed-map: {scale: [1.0004, 0.9998], skew-mrad: 0.35}, ${nc}}`;
      // A window with a curve, for arcs and cubics are where engines differ.
      const drawing = panel.replace(
        /<rect id="window".*?\/>/,
        '<path id="window" d="M100,30C112,24 133,27 140,30V70H100Z"/>',
      );
      const job = jobText({ place, more });
      shop.write('job.yaml', job);
      shop.write('panel.svg', drawing);
      const page = await withFiles({ 'job.yaml': job, 'panel.svg': drawing });
      for (const format of ['svg', 'dxf', 'nc']) {
        expect((await shop.call('cut', 'job.yaml', '-o', `cut.${format}`)).status).toBe(0);
        const { text } = await saved(page, `Save ${format.toUpperCase()}`);
        expect(text === shop.read(`cut.${format}`), `${format}, ${axes}`).toBe(true);
      }
    }
    noComplaint(opened);
  });

  it('says from which side marks were reached, along each axis, as the job does', async () => {
    const page = await withFiles({
      'job.yaml': jobText({ more: 'machine: {reversal: [0.4, 0.2]}' }),
      'panel.svg': panel,
    });
    const before = await page.locator('.fb tr.w').count();
    expect(before).toBeGreaterThan(0);
    await page.getByLabel('Marks reached along x').selectOption('up');
    expect((await saved(page, 'Save job')).text).toContain('approach: [up, either]');
    await page.getByLabel('Marks reached along y').selectOption('up');
    await settled(page);
    const { text } = await saved(page, 'Save job');
    expect(text).toContain('approach: up');
    const shop = workshop();
    shop.write('job.yaml', text);
    const expected = JSON.parse((await shop.call('check', 'job.yaml', '--json')).out);
    expect(await page.textContent('.rulesvg')).toContain(`${expected.neededClearance.toFixed(2)} needed`);
    await page.getByLabel('Marks reached along x').selectOption('either');
    await page.getByLabel('Marks reached along y').selectOption('either');
    expect((await saved(page, 'Save job')).text).not.toContain('approach');
    noComplaint(opened);
  });

  it('leaves the radius of a touched rim open, and finds it as "reseat check" does', async () => {
    const rim = (degrees: number): string => {
      const a = (degrees * Math.PI) / 180;
      return two(placed(60 + 10.3 * Math.cos(a), 50 + 10.3 * Math.sin(a)));
    };
    const touches = [0, 120, 240].map((degrees) => `  - {on: moon, at: [${rim(degrees)}]}`);
    const job = jobText({ more: ['touches:', ...touches].join('\n') });
    const page = await withFiles({ 'job.yaml': job, 'panel.svg': panel });
    await page.getByLabel('Radius, touch 2').selectOption('unknown');
    await settled(page);
    const { text } = await saved(page, 'Save job');
    expect(text.match(/radius: unknown/g)).toHaveLength(3);
    const shop = workshop();
    shop.write('job.yaml', text);
    const expected = JSON.parse((await shop.call('check', 'job.yaml', '--json')).out);
    expect(await verdictState(page)).toBe(expected.verdict);
    expect(await page.textContent('.rulesvg')).toContain(`${expected.neededClearance.toFixed(2)} needed`);
    noComplaint(opened);
  });

  it('zooms with the wheel and with two fingers, and the place under them stays', async () => {
    const page = await fern(fernJob);
    const canvas = (await page.locator('.canvas').boundingBox())!;
    const at = { x: canvas.x + 0.4 * canvas.width, y: canvas.y + 0.6 * canvas.height };
    /** Scale of the plan, and what of the drawing lies under that point. */
    const seen = (): Promise<[number, number, number]> =>
      page.locator('.plan .panel').evaluate((path, p) => {
        const m = (path as SVGPathElement).getScreenCTM()!;
        const { x, y } = new DOMPoint(p.x, p.y).matrixTransform(m.inverse());
        return [Math.hypot(m.a, m.b), x, y] as [number, number, number];
      }, at);
    const [whole, ...under] = await seen();
    const same = async (within = 1): Promise<number> => {
      const [scale, ...now] = await seen();
      for (const [i, v] of now.entries()) expect(Math.abs(v - under[i]!)).toBeLessThan(within);
      return scale;
    };
    await page.mouse.move(at.x, at.y);
    await page.mouse.wheel(0, -400);
    await page.getByRole('button', { name: 'Whole plan' }).waitFor();
    expect(await same()).toBeGreaterThan(1.5 * whole);
    await page.getByRole('button', { name: 'Whole plan' }).click();
    expect((await seen())[0]).toBeCloseTo(whole, 6);
    const session = await page.context().newCDPSession(page);
    const touch = (type: 'touchStart' | 'touchMove' | 'touchEnd', apart: number) =>
      session.send('Input.dispatchTouchEvent', {
        type,
        touchPoints:
          type === 'touchEnd' ? [] : [-1, 1].map((side, id) => ({ x: at.x + side * apart, y: at.y, id })),
      });
    await touch('touchStart', 30);
    for (const apart of [35, 45, 60, 75, 90]) await touch('touchMove', apart);
    await touch('touchEnd', 90);
    await page.getByRole('button', { name: 'Whole plan' }).waitFor();
    // The first finger is told of before the second one: their middle moves by 2.5 px between the two.
    const pinched = await same(3);
    expect(pinched).toBeGreaterThan(1.8 * whole);
    expect(pinched).toBeLessThan(3.4 * whole);
    await page.getByRole('button', { name: 'Whole plan' }).click();
    noComplaint(opened);
  });

  it('keeps long names of marks whole, and near their marks', async () => {
    const marks = ['entity-60', 'entity-61', 'leaf_x20_corner-of-the-left', 'entity-63'];
    const drawing = 'ABCD'
      .split('')
      .reduce((text, old, i) => text.replace(`id="${old}"`, `id="${marks[i]}"`), panel);
    const job = 'ABCD'
      .split('')
      .reduce((text, old, i) => text.replace(`  ${old}: [`, `  ${marks[i]}: [`), jobText());
    const page = await withFiles({ 'job.yaml': job, 'panel.svg': drawing });
    for (const width of [360, 820, 1280, 2560]) {
      await page.setViewportSize({ width, height: 900 });
      const found = await page.evaluate((names) => {
        const svg = document.querySelector('.canvas svg')!.getBoundingClientRect();
        const texts = [...document.querySelectorAll<SVGTextElement>('.canvas .st')];
        return names.map((name) => {
          const text = texts.find((one) => one.textContent === name)!.getBoundingClientRect();
          const mark = document.querySelector(`.mark[data-goto="${name}"] .mk`)!.getBoundingClientRect();
          const row = document.querySelector<HTMLElement>(`.fb tr[data-mark="${name}"] th`)!;
          const gap = Math.max(
            text.left - mark.right,
            mark.left - text.right,
            text.top - mark.bottom,
            mark.top - text.bottom,
          );
          const isWhole = text.left >= svg.left && text.right <= svg.right;
          return [isWhole, gap < 40, row.scrollWidth <= row.clientWidth];
        });
      }, marks);
      expect(found, `${width} wide`).toEqual(marks.map(() => [true, true, true]));
    }
    noComplaint(opened);
  });

  it('prints a second page where more was read than the first one holds, and no figure is left out', async () => {
    const readings = [...'ABCD'].map((mark, i) => {
      const [x, y] = [
        [10, 10],
        [190, 10],
        [190, 90],
        [10, 90],
      ][i]!;
      const at = Array.from({ length: 7 }, (_, k) => `[${two(placed(x! + 0.01 * k, y! - 0.01 * k))}]`);
      return `  ${mark}: [${at.join(', ')}]`;
    });
    const job = [
      'title: Long',
      'drawing: panel.svg',
      'readings:',
      ...readings,
      'fit: {reading-sd: 0.06}',
      'cut: {kerf: 0.2}',
      '',
    ].join('\n');
    const page = await withFiles({ 'job.yaml': job, 'panel.svg': panel });
    const pdf = (await page.pdf({ format: 'A4' })).toString('latin1');
    expect(pdf.match(/\/Type\s*\/Page[^s]/g)).toHaveLength(2);
    const cells = await page.locator('.run td').allTextContents();
    for (const figure of job.match(/\d+\.\d\d(?=[,\]])/g)!) expect(cells).toContain(figure);
    expect(await page.textContent('.second')).toContain('Long, second page');
    noComplaint(opened);
  });

  it('opens a drawing made from a scan, and counts how well its edges are known', async () => {
    const drawing = panel.replace('viewBox=', 'data-edge-sd="0.0850" viewBox=');
    const job = jobText({ more: 'check: {kerf-sd: 0.02}' });
    const shop = workshop();
    shop.write('job.yaml', job);
    shop.write('panel.svg', drawing);
    const expected = JSON.parse((await shop.call('check', 'job.yaml', '--json')).out);
    expect(expected.edgeSd).toBe(0.085);
    const page = await withFiles({ 'job.yaml': job, 'panel.svg': drawing });
    expect(await verdictState(page)).toBe(expected.verdict);
    expect(await page.textContent('.rulesvg')).toContain(`${expected.neededClearance.toFixed(2)} needed`);
    noComplaint(opened);
  });

  it('takes dropped tables of the machine into their forms, writes doubtful figures only when told to, and tells drift', async () => {
    const shop = workshop();
    const profile = 'name: Bench\nsize: [600, 400]\naxes: y-up\n';
    const job = `${jobText()}date: 2026-11-20\nmachine: machine.yaml\n`;
    shop.write('machine.yaml', profile);
    shop.write('job.yaml', job);
    const page = await withFiles({ 'machine.yaml': profile, 'panel.svg': panel, 'job.yaml': job });
    const example = join(fernFolder, '../example-machine');
    const table = readFileSync(join(example, 'kerf.csv'), 'utf8');
    await drop(page, [
      { name: 'kerf.csv', text: table },
      { name: 'pointer.csv', text: readFileSync(join(example, 'pointer.csv'), 'utf8') },
    ]);
    await page.getByRole('button', { name: 'Kerf', exact: true }).click();
    await field(page, 'Measured on').fill('2026-11-25');
    shop.write('kerf.csv', table);
    const told = (await shop.call('calibrate', 'kerf', 'kerf.csv', '--date', '2026-11-25')).out;
    const figure = /\d+\.\d+ mm/.exec(told)![0];
    await page.waitForFunction(
      (text) => document.querySelector('.machine pre')?.textContent?.includes(text),
      figure,
    );
    // One width mistyped: figures in doubt.
    const rows = table.split('\n');
    const at = rows.findIndex((row) => /^pair,/.test(row));
    const cells = rows[at]!.split(',');
    const piece = rows
      .find((row) => row.startsWith('kind,'))!
      .split(',')
      .indexOf('piece');
    cells[piece] = (Number(cells[piece]) - 0.4).toFixed(2);
    rows[at] = cells.join(',');
    shop.write('kerf.csv', rows.join('\n'));
    const args = ['calibrate', 'kerf', 'kerf.csv', '--profile', 'machine.yaml', '--date', '2026-11-25'];
    expect((await shop.call(...args)).status).toBe(2);
    expect((await shop.call(...args, '--force')).status).toBe(0);
    await drop(page, [{ name: 'kerf.csv', text: rows.join('\n') }]);
    await page.getByRole('button', { name: 'Write it all the same' }).click();
    await page.waitForFunction(() => /kerf/.test(document.querySelector('.machine')?.textContent ?? ''));
    await settled(page);
    expect((await saved(page, 'Save profile')).text).toBe(shop.read('machine.yaml'));
    await page.getByRole('button', { name: 'This job alone' }).click();
    const drift = (await shop.call('calibrate', 'drift', 'job.yaml', '--date', '2026-11-25')).out;
    await page.waitForSelector('pre[role=status]');
    expect((await page.textContent('pre[role=status]'))!.split('\n')[0]).toBe(drift.split('\n')[0]);
    noComplaint(opened);
  });

  it('has the job as text for whatever the sheet has no line for, and takes none that cannot be read', async () => {
    const page = await withFiles({ 'job.yaml': jobText(), 'panel.svg': panel });
    await page.getByRole('button', { name: 'Settings' }).click();
    const text = page.getByLabel('The job as text');
    const before = await text.inputValue();
    await text.fill(`${before}material: {kind: mdf, humidity: [40, 60`);
    expect(await text.getAttribute('aria-invalid')).toBe('true');
    await text.fill(`${before}material: {kind: mdf, humidity: [40, 60]}\n`);
    await settled(page);
    expect(await text.getAttribute('aria-invalid')).toBeNull();
    expect((await saved(page, 'Save job')).text).toContain('material: {kind: mdf, humidity: [40, 60]}');
    await text.fill(`${before}materiel: {kind: mdf}\n`);
    await settled(page);
    expect(await page.textContent('#verdict')).toContain('material');
    noComplaint(opened);
  });
});
