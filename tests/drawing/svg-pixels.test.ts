import { describe, expect, it } from 'vitest';
import { scaleWarnings } from '../../src/drawing/assumed-scale.js';
import { listDrawing } from '../../src/drawing/list-drawing.js';
import { readDrawing } from '../../src/drawing/read.js';
import type { LengthUnit, PixelsToInch } from '../../src/job/job.js';
import { dxfTags, textOf } from './dxf-text.js';
import { bytesOf, page, readText } from './svg-text.js';

const square = '<rect width="90" height="90"/>';
const side = (root: string, dpi?: PixelsToInch, body = square, units?: LengthUnit): number => {
  const { box } = readText(page(body, root), units, dpi);
  return box.maxX - box.minX;
};
const codes = (root: string, dpi?: PixelsToInch): string[] => {
  const drawing = readText(page(square, root), undefined, dpi);
  return [...drawing.warnings, ...scaleWarnings(drawing, { outline: [] })].map(({ code }) => code);
};
const listed = (text: string) => listDrawing(bytesOf(text), 'fern.svg').warnings[0]!;

describe('px to the inch', () => {
  it.each([
    ['px, no viewBox', 'width="360px" height="360px"', 90],
    ['px and a viewBox', 'width="180px" height="180px" viewBox="0 0 360 360"', 45],
    ['mm, no viewBox', 'width="100mm" height="100mm"', 90],
    ['bare numbers, no viewBox', 'width="360" height="360"', 90],
    ['bare numbers and a viewBox', 'width="180" height="180" viewBox="0 0 360 360"', 45],
    ['px beside a bare number', 'width="180px" height="180" viewBox="0 0 360 360"', 45],
    ['a viewBox alone', 'viewBox="0 0 360 360"', 90],
    ['a viewBox and percentages', 'width="100%" height="100%" viewBox="0 0 360 360"', 90],
    ['nothing', '', 90],
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

  it('in words: what the panel is at each resolution, whether the size is in px or in nothing', () => {
    const plate = '<rect id="outline" width="600" height="400"/><circle id="a" cx="90" cy="90" r="40"/>';
    const message = (why: string): string =>
      `The panel is 158.8 x 105.8 mm, if 96 px make an inch as in CSS: ${why}. It would be ` +
      '169.3 x 112.9 mm at 90 px to the inch, 211.7 x 141.1 mm at 72 px to the inch and 600 x 400 mm if its ' +
      'figures are mm. Measure the panel, and write "dpi: 96" into the job, or "dpi: 90" or "dpi: 72" or "units: mm".';
    const px = listed(page(plate, 'width="700px" height="500px"'));
    expect(px).toEqual({ code: 'dpi-assumed', message: message('the drawing states its size in px') });
    const bare = listed(page(plate, 'width="700" height="500"'));
    expect(bare).toEqual({ code: 'dpi-assumed', message: message('the drawing states no unit') });
  });

  it.each([
    ['a comment', '<!-- Made at 90 dpi -->', '', 90],
    ['a comment with the figure behind', '<!-- resolution: 150 -->', '', 150],
    ['an attribute', '', 'data-dpi="300"', 300],
    ['a comment about pixels per inch', '<!-- 72 pixels per inch -->', '', 72],
    ['a size of the screen', '<!-- resolution: 1920x1080 -->', '', undefined],
    ['the resolution of a picture that is exported', '', 'data-export-xdpi="300"', undefined],
    ['a version', '<!-- version 2.72 dpi-aware -->', '', undefined],
  ] as const)('%s is taken for what the file says of itself or not', (_what, comment, attribute, dpi) => {
    const drawing = readText(page(comment + square, `${attribute} width="360" height="360"`));
    expect(drawing.scale?.mentioned?.dpi).toBe(dpi);
    const [warning] = scaleWarnings(drawing, { outline: [] });
    if (dpi === undefined) expect(warning!.message).not.toContain('The file itself');
    else expect(warning!.message).toContain(`if that holds, write "dpi: ${dpi}"`);
  });

  it('count for any resolution', () => {
    expect(side('width="360" height="360"', 300)).toBeCloseTo((25.4 * 90) / 300, 9);
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
