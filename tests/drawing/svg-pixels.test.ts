import { describe, expect, it } from 'vitest';
import { readDrawing } from '../../src/drawing/read.js';
import type { LengthUnit, PixelsToInch } from '../../src/job/job.js';
import { dxfTags, textOf } from './dxf-text.js';
import { bytesOf, expectRefused, page, readText } from './svg-text.js';

const square = '<rect width="90" height="90"/>';
const side = (root: string, dpi?: PixelsToInch, body = square, units?: LengthUnit): number => {
  const { box } = readText(page(body, root), units, dpi);
  return box.maxX - box.minX;
};
const codes = (root: string, dpi?: PixelsToInch): string[] =>
  readText(page(square, root), undefined, dpi).warnings.map(({ code }) => code);

describe('px to the inch', () => {
  it.each([
    ['px, no viewBox', 'width="360px" height="360px"', 90],
    ['px and a viewBox', 'width="180px" height="180px" viewBox="0 0 360 360"', 45],
    ['mm, no viewBox', 'width="100mm" height="100mm"', 90],
  ] as const)('%s: 96 unless the job says otherwise, which is said', (_what, root, pixels) => {
    expect(side(root)).toBeCloseTo((25.4 * pixels) / 96, 9);
    expect(side(root, 90)).toBeCloseTo((25.4 * pixels) / 90, 9);
    expect(side(root, 72)).toBeCloseTo((25.4 * pixels) / 72, 9);
    expect(codes(root)).toEqual(['dpi-assumed']);
    for (const dpi of [96, 90, 72] as const) expect(codes(root, dpi)).toEqual([]);
  });

  it('say how long bare numbers are, and the units of a viewBox alone', () => {
    expect(side('width="360" height="360"', 90)).toBeCloseTo(25.4, 9);
    expect(side('width="180" height="180" viewBox="0 0 360 360"', 90)).toBeCloseTo(12.7, 9);
    expect(side('viewBox="0 0 360 360"', 72)).toBeCloseTo((25.4 * 90) / 72, 9);
    expect(side('viewBox="0 0 360 360"', 90, square, 'px')).toBeCloseTo(25.4, 9);
    expectRefused(page(square, 'width="360" height="360"'), 'a drawing without any unit');
    expectRefused(page(square, ''), 'a drawing without any unit');
  });

  it('count also for lengths with a unit inside: they are real in a drawing of any resolution', () => {
    for (const dpi of [96, 90, 72] as const) {
      expect(side('width="360px" height="360px"', dpi, '<rect width="2cm" height="1in"/>')).toBeCloseTo(
        20,
        9,
      );
      const nested = '<svg width="100" height="100"><rect width="15mm" height="1in"/></svg>';
      expect(side('width="360px" height="360px"', dpi, nested)).toBeCloseTo(15, 9);
    }
  });

  it('in words: what the page is at each resolution', () => {
    const [warning] = readText(page(square, 'width="600px" height="400px"')).warnings;
    expect(warning!.message).toBe(
      'The drawing counts in px, taken as 96 to the inch as in CSS, so that its page is 158.75 x 105.83 mm. At 90 to the inch, ' +
        'as some older programs wrote, it would be 169.33 x 112.89 mm, at 72 211.67 x 141.11 mm. Measure it, and write ' +
        '"dpi: 90" or "dpi: 72" into the job if that is it, or "dpi: 96".',
    );
  });

  it('make no difference to a page in mm with a viewBox, nor to DXF, and that is said', () => {
    const root = 'width="100mm" height="100mm" viewBox="0 0 100 100"';
    expect(codes(root)).toEqual([]);
    expect(codes(root, 90)).toEqual(['dpi-unused']);
    expect(side(root, 90)).toBeCloseTo(90, 9);
    const text = textOf(
      dxfTags({
        entities: [
          [
            [0, 'CIRCLE'],
            [10, 5],
            [20, 5],
            [40, 3],
          ],
        ],
      }),
    );
    const { warnings } = readDrawing(bytesOf(text), { path: 'fern.dxf', dpi: 90 });
    expect(warnings.map(({ code }) => code)).toContain('dpi-unused');
  });
});
