/** The picture that README shows is the one that the tool draws today, but for the last digit of what is reckoned. */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { SaxesParser } from 'saxes';
import { expect, test } from 'vitest';
import { cutJob, jobPicture, loadJob, pictureSvg } from '../src/internal.js';

const root = fileURLToPath(new URL('../', import.meta.url));
const folder = `${root}calibration/fern-screen/`;
const command =
  'node bin/reseat.js cut calibration/fern-screen/job.yaml -o demo-output/cut.svg --picture calibration/fern-screen/cut.svg --force';

/** Elements with their attributes and texts, in order. */
const piecesOf = (svg: string): string[] => {
  const pieces: string[] = [];
  const parser = new SaxesParser();
  parser.on('opentag', ({ name, attributes }) => {
    pieces.push(
      `<${name} ${Object.entries(attributes)
        .map(([key, value]) => `${key}=${value}`)
        .join(' ')}>`,
    );
  });
  parser.on('text', (text) => {
    if (text.trim() !== '') pieces.push(text);
  });
  parser.write(svg).close();
  return pieces;
};

const number = /-?\d+(?:\.\d+)?/g;
const worded = (pieces: readonly string[]): string[] => pieces.map((piece) => piece.replace(number, '#'));
const numbersIn = (pieces: readonly string[]): number[] =>
  pieces.flatMap((piece) => [...piece.matchAll(number)].map(([figure]) => Number(figure)));

test(`README shows the picture of today's cut; else: ${command}`, () => {
  expect(readFileSync(`${root}README.md`, 'utf8')).toContain('(calibration/fern-screen/cut.svg)');
  const source = {
    path: 'calibration/fern-screen/job.yaml',
    text: readFileSync(`${folder}job.yaml`, 'utf8'),
  };
  const loaded = loadJob(source, { read: (path) => readFileSync(`${folder}${path}`) });
  const done = cutJob(loaded);
  if (!done.ok) throw new Error(done.failure.reason);
  const { openings, outline } = loaded.roles;
  const drawn = piecesOf(pictureSvg(jobPicture({ job: loaded.job, openings, outline, ...done })));
  const kept = piecesOf(readFileSync(`${folder}cut.svg`, 'utf8'));
  expect(worded(kept)).toEqual(worded(drawn));
  const [now, then] = [numbersIn(drawn), numbersIn(kept)];
  // Picture units, and in texts mm: less than is seen.
  const apart = Math.max(...now.map((value, i) => Math.abs(value - then[i]!)));
  expect(apart).toBeLessThan(0.6);
});
