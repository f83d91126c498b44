import { describe, expect, it } from 'vitest';
import { workshop } from './workshop.js';

const marks = [
  'marks: {A: [20, 25], B: [580, 30], C: [572, 375], D: [30, 370]}',
  'readings: {A: [120.03, 124.98], B: [679.97, 130.02], C: [672.02, 475.01], D: [129.98, 469.97]}',
  'fit: {reading-sd: 0.06}',
];

const plate = (openings: string): string =>
  `<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="400mm" viewBox="0 0 600 400">
<g id="openings">${openings}</g><g id="outline"><rect id="edge" width="600" height="400"/></g></svg>`;

const many = Array.from({ length: 77 }, (_, i) => {
  const [column, row] = [i % 11, Math.floor(i / 11)];
  return `<circle id="hole-${i}" cx="${50 + 50 * column}" cy="${50 + 50 * row}" r="10"/>`;
}).join('');

/** A thorn that a bit of 3 mm does not get into, among holes that need more room than its tip does. */
const thorn = `${many}<path id="thorn" d="M268,122 L280,120.5 L280,123.5 Z"/>`;

const checked = async (drawing: string, cut: string) => {
  const shop = workshop();
  shop.write('plate.svg', drawing);
  shop.write('job.yaml', ['drawing: plate.svg', ...marks, cut, ''].join('\n'));
  const said = JSON.parse((await shop.call('check', 'job.yaml', '--json')).out);
  return { shop, said, text: (await shop.call('check', 'job.yaml')).out };
};

describe('what makes a verdict', () => {
  it('is named in the sentence, stands first in the table and is enlarged in the picture', async () => {
    const { shop, said, text } = await checked(plate(thorn), 'cut: {clearance: 0.5, kerf: 3}');
    expect(said.verdict).toBe('does-not-fit');
    expect(said.explanation).toMatch(/too close at thorn, because the beam is too thick/);
    expect(text).toMatch(/worst at x +y\n +thorn +does-not-fit/);
    await shop.call('cut', 'job.yaml', '-o', 'cut.svg', '--picture', 'cut-picture.svg');
    expect(shop.read('cut-picture.svg')).toContain('Does not fit: thorn');
  });

  it('is all openings together where each of them alone fits', async () => {
    const { said } = await checked(plate(many), 'cut: {clearance: 0.09, kerf: 0.1}');
    expect(said.openings.every((o: { verdict: string }) => o.verdict === 'fits')).toBe(true);
    expect(said.verdict).toBe('too-close');
    expect(said.explanation).toContain(
      'Each opening alone would fit; the job counts all 77 of them together.',
    );
  });
});
