/** Words in pictures as a browser sets them: on no other word, and whole on the page. */
import { existsSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { type Browser, chromium } from 'playwright-core';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { listDrawing } from '../../src/drawing/list-drawing.js';
import { cutJob, jobPicture, loadJob, loadPlan, pictureSvg, planJob } from '../../src/index.js';
import { listPicture, planPicture } from '../../src/internal.js';
import { bytesOf } from '../drawing/svg-text.js';

const executablePath = '/usr/bin/chromium';
const fern = fileURLToPath(new URL('../../calibration/fern-screen/', import.meta.url));
const job = readFileSync(`${fern}job.yaml`, 'utf8');

/** A panel of 300 x 200 mm with openings 40 mm wide, 1.4 mm apart. */
const long = 'an-opening-whose-name-was-made-by-a-program-of-its-layers-and-groups-';
const corners = [
  [15, 185],
  [285, 185],
  [285, 15],
  [15, 15],
] as const;
const markName = (i: number): string => `registration-mark-${'ABCD'[i]}-in-the-corner-of-the-sheet`;
const longNames = [
  '<svg xmlns="http://www.w3.org/2000/svg" width="300mm" height="200mm" viewBox="0 0 300 200">',
  '<g id="outline"><rect id="panel" x="2" y="2" width="296" height="196"/></g><g id="marks">',
  ...corners.map(([x, y], i) => `<circle id="${markName(i)}" cx="${x}" cy="${200 - y}" r="1"/>`),
  '</g><g id="openings">',
  ...Array.from(
    { length: 24 },
    (_, i) =>
      `<rect id="${long}${i}" x="${30 + 42 * (i % 6)}" y="${30 + 38 * Math.floor(i / 6)}" width="40.6" height="30"/>`,
  ),
  '</g></svg>',
].join('');
const longJob = [
  `title: ${'A title that nobody would write by hand, for it goes on '.repeat(4)}until here`,
  'drawing: long.svg',
  'machine: {axes: y-up, size: [380, 260]}',
  'fit: {reading-sd: 0.06}',
  'cut: {clearance: 0.3, kerf: 0.1, smallest-land: 1.5}',
].join('\n');
const longReadings = `readings:\n${corners
  .map(([x, y], i) => `  ${markName(i)}: [${x + 60 + 0.02 * i}, ${y + 50 - 0.03 * (i % 2)}]`)
  .join('\n')}`;

const reader = {
  read: (path: string) => (path === 'long.svg' ? bytesOf(longNames) : readFileSync(`${fern}${path}`)),
};
const cutPicture = (text: string): string => {
  const loaded = loadJob({ path: 'job.yaml', text }, reader);
  const done = cutJob(loaded);
  if (!done.ok) throw new Error(done.failure.reason);
  const { openings, outline } = loaded.roles;
  return pictureSvg(jobPicture({ job: loaded.job, openings, outline, ...done }));
};
const planned = (text: string): string => {
  const loaded = loadPlan({ path: 'plan.yaml', text }, reader);
  return planPicture({ job: loaded.job, roles: loaded.roles, plan: planJob(loaded) });
};

const pictures: Readonly<Record<string, () => string>> = {
  'the cut of the example': () => cutPicture(job),
  'the cut of film in strips': () => cutPicture(`${job}film: {width: 300, overlap: 6, direction: x}\n`),
  'a cut whose reading is in doubt': () => cutPicture(job.replace('772.84', '727.84')),
  'the cut of a drawing with long names, across the edge of its bed': () =>
    cutPicture(`${longJob}\n${longReadings}\n`),
  'the list of the example': () =>
    listPicture(listDrawing(readFileSync(`${fern}fern-screen.svg`), 'fern.svg')),
  'the list of a drawing with long names': () => listPicture(listDrawing(bytesOf(longNames), `${long}.svg`)),
  'the plan of a drawing with long names': () => planned(longJob),
  'the plan of the example': () => planned(readFileSync(`${fern}plan.yaml`, 'utf8')),
};

describe.skipIf(!existsSync(executablePath))('words in a picture', () => {
  let browser: Browser;
  beforeAll(async () => {
    browser = await chromium.launch({ executablePath, args: ['--no-sandbox'] });
  });
  afterAll(() => browser.close());

  test.each(Object.keys(pictures))('of %s lie on no other words and are not cut off', async (name) => {
    const page = await browser.newPage();
    await page.setContent(`<body style="margin:0">${pictures[name]!()}</body>`);
    const { texts, width, height } = await page.evaluate(() => {
      const root = document.querySelector('svg')!;
      const found = [...root.querySelectorAll('text')].map((text) => {
        const { x, y, width, height } = text.getBoundingClientRect();
        const size = Number.parseFloat(getComputedStyle(text).fontSize);
        // A line's box is taller than its letters; turned ones are as large as they look.
        const isTurned = text.hasAttribute('transform');
        const spare = isTurned ? 0 : (height - 0.72 * size) / 2;
        return {
          words: text.textContent ?? '',
          left: x,
          right: x + width,
          top: y + spare,
          bottom: y + height - spare,
        };
      });
      const { width, height } = root.getBoundingClientRect();
      return { texts: found, width, height };
    });
    await page.close();
    expect(texts.length).toBeGreaterThan(10);
    const faults: string[] = [];
    texts.forEach((one, i) => {
      if (one.left < 0 || one.top < 0 || one.right > width || one.bottom > height)
        faults.push(`"${one.words}" is cut off`);
      for (const other of texts.slice(i + 1))
        if (
          one.left < other.right &&
          other.left < one.right &&
          one.top < other.bottom &&
          other.top < one.bottom
        )
          faults.push(`"${one.words}" lies on "${other.words}"`);
    });
    expect(faults).toEqual([]);
  });
});
