import { describe, expect, it } from 'vitest';
import type { Drawing } from '../../src/drawing/model/drawing.js';
import { endOf, startOf } from '../../src/geometry/curve.js';
import type { LengthUnit } from '../../src/job/job.js';
import { expectPoint, expectRefused, inputErrorOf, page, readText } from './svg-text.js';

const corner = '<path id="d" d="M 0 0 L 100 100"/>';

const read = (root: string, units?: LengthUnit, body = corner): Drawing => readText(page(body, root), units);

/** Where the user points (0, 0) and (100, 100) of the root land on the page: x from the left, y from the top, mm. */
const ends = (drawing: Drawing): number[] => {
  const s = drawing.shapes[0]!.paths[0]!.segments[0]!;
  const height = drawing.page!.maxY;
  return [startOf(s), endOf(s)].flatMap((p) => [p.x, height - p.y]).map((v) => Math.round(v * 1e9) / 1e9);
};

describe('the size of the page', () => {
  it.each([
    ['mm', 25.4],
    ['cm', 2.54],
    ['in', 1],
    ['pt', 72],
    ['pc', 6],
    ['px', 96],
    ['Q', 101.6],
    ['MM', 25.4],
  ])('1 in is %s %d (W3C CSS Values and Units 3, section 6.2)', (unit, inAnInch) => {
    const drawing = read(`width="${inAnInch}${unit}" height="${2 * inAnInch}${unit}" viewBox="0 0 100 200"`);
    expect(drawing.page!.maxX).toBeCloseTo(25.4, 10);
    expect(drawing.page!.maxY).toBeCloseTo(50.8, 10);
    expectPoint(endOf(drawing.shapes[0]!.paths[0]!.segments[0]!), 25.4, 25.4, 10);
    expect(drawing.units).toBe(unit.toLowerCase());
    // How many px make an inch is a question of its own: svg-pixels.test.ts.
    expect(drawing.scale).toEqual(unit === 'px' ? { page: 'px', unit: 25.4 / 100 } : undefined);
  });

  it('without a viewBox a user unit is a CSS px, 1/96 in', () => {
    const drawing = read('width="100mm" height="50mm"');
    expectPoint(startOf(drawing.shapes[0]!.paths[0]!.segments[0]!), 0, 50);
    expectPoint(endOf(drawing.shapes[0]!.paths[0]!.segments[0]!), (100 * 25.4) / 96, 50 - (100 * 25.4) / 96);
  });

  it('a bare number counts px (W3C SVG 2, section 8.9), and which it was is remembered', () => {
    for (const px of ['px', '']) {
      const drawing = read(`width="96${px}" height="192${px}"`);
      expect(ends(drawing)).toEqual([0, 0, 26.458333333, 26.458333333]);
      expect(drawing.scale).toEqual({ page: px === '' ? 'nothing' : 'px', unit: 25.4 / 96 });
    }
  });

  it('a page that states no height ends at the lowest line', () => {
    for (const root of ['', 'width="100%" height="100%"', 'width="auto"', 'width="500"']) {
      const drawing = read(root);
      expect(drawing.page!.maxY).toBeCloseTo((100 * 25.4) / 96, 9);
      expect(drawing.box.minY).toBeCloseTo(0, 9);
      expect(drawing.box.maxY).toBeCloseTo((100 * 25.4) / 96, 9);
    }
    expect(read('', 'mm').box).toEqual({ minX: 0, minY: 0, maxX: 100, maxY: 100 });
  });

  it('one side with a unit is enough where the viewBox gives the other', () => {
    expect(read('width="60mm" viewBox="0 0 30 20"').page).toMatchObject({ maxX: 60, maxY: 40 });
    expect(read('height="60mm" width="100%" viewBox="0 0 30 20"').page).toMatchObject({ maxX: 90, maxY: 60 });
    expect(read('height="60mm" width="auto" viewBox="0 0 30 20"').page).toMatchObject({ maxX: 90, maxY: 60 });
  });

  it('is refused where one side has a unit and nothing says how long the other is', () => {
    const half = 'a page with a unit on one side only: the other is';
    expectRefused(page(corner, 'width="100mm"'), `${half} not given`);
    expectRefused(page(corner, 'width="100mm" height="100" viewBox="0 0 1 1"'), `${half} a bare number`);
    const error = inputErrorOf(() => read('width="100mm"'));
    expect(error.next).toBe(
      'Export the drawing with its real size, or say how long its units are ("units: mm" in the job, --units mm for "list"), or how many px make an inch ("dpi: 96", --dpi 96).',
    );
  });

  it('is read from a style, which comes before the attribute', () => {
    const drawing = read('width="100%" height="5" style="width:60mm; height:40mm" viewBox="0 0 60 40"');
    expect(drawing.page).toMatchObject({ maxX: 60, maxY: 40 });
  });

  it('is refused where it is malformed, zero or negative', () => {
    expectRefused(page('', 'width="0mm" height="5mm"'), 'width="0mm" on the page; expected a width above 0');
    expectRefused(
      page('', 'width="5mm" height="-5mm"'),
      'height="-5mm" on the page; expected a height above 0',
      {
        column: page('', 'width="5mm" height="').length - '></svg>'.length + 1,
      },
    );
    expectRefused(page('', 'width="5mmm" height="5mm"'), '"mmm" in the attribute width; expected a unit');
    expectRefused(page('', 'width="50em" height="5mm"'), 'the unit em in the attribute width');
    expectRefused(page('', 'width="1e999mm" height="5mm"'), 'the number 1e999');
    for (const viewBox of ['0 0 10', '0 0 10 20 30', '0 0 -10 10', '', ' ']) {
      const root = `width="5mm" height="5mm" viewBox="${viewBox}"`;
      expectRefused(page('', root), 'expected four numbers: left, top, width and height');
    }
    expectRefused(page('', 'width="5mm" height="5mm" viewBox="0 0 x 5"'), '"x 5" in the attribute viewBox');
    expectRefused(
      page('', 'width="5mm" height="5mm" viewBox="0 0 0 5"'),
      'a viewBox of 0 x 5, which shows nothing',
    );
  });
});

describe('viewBox and preserveAspectRatio (W3C SVG 2, sections 8.6 and 8.7)', () => {
  it('the left top corner of the viewBox comes to that of the page', () => {
    const drawing = read('width="100mm" height="100mm" viewBox="-10 20 50 50"');
    expect(ends(drawing)).toEqual([20, -40, 220, 160]);
  });

  // The page is 200 x 100 mm. A viewBox of 100 x 100 is fitted with scale 1 and 100 mm to spare across,
  // one of 100 x 25 with scale 2 and 50 mm to spare down.
  it.each([
    ['xMin', 0],
    ['xMid', 50],
    ['xMax', 100],
  ])('%s with meet', (align, left) => {
    for (const y of ['YMin', 'YMid', 'YMax']) {
      const root = `width="200mm" height="100mm" viewBox="0 0 100 100" preserveAspectRatio="${align}${y}"`;
      expect(ends(read(root))).toEqual([left, 0, left + 100, 100]);
    }
  });

  it.each([
    ['YMin', 0],
    ['YMid', 25],
    ['YMax', 50],
  ])('%s with meet', (align, top) => {
    for (const x of ['xMin', 'xMid', 'xMax']) {
      const root = `width="200mm" height="100mm" viewBox="0 0 100 25" preserveAspectRatio="${x}${align} meet"`;
      expect(ends(read(root))).toEqual([0, top, 200, top + 200]);
    }
  });

  // Sliced, the viewBox of 100 x 100 takes scale 2 and reaches 100 mm beyond the page down,
  // the one of 100 x 25 scale 4 and 200 mm beyond it across.
  it.each([
    ['YMin', 0],
    ['YMid', -50],
    ['YMax', -100],
  ])('%s with slice', (align, top) => {
    for (const x of ['xMin', 'xMid', 'xMax']) {
      const root = `width="200mm" height="100mm" viewBox="0 0 100 100" preserveAspectRatio="${x}${align} slice"`;
      expect(ends(read(root))).toEqual([0, top, 200, top + 200]);
    }
  });

  it.each([
    ['xMin', 0],
    ['xMid', -100],
    ['xMax', -200],
  ])('%s with slice', (align, left) => {
    for (const y of ['YMin', 'YMid', 'YMax']) {
      const root = `width="200mm" height="100mm" viewBox="0 0 100 25" preserveAspectRatio="${align}${y} slice"`;
      expect(ends(read(root))).toEqual([left, 0, left + 400, 400]);
    }
  });

  it('none stretches, and the default is xMidYMid meet', () => {
    const root = 'width="200mm" height="100mm" viewBox="0 0 100 100"';
    expect(ends(read(`${root} preserveAspectRatio="none"`))).toEqual([0, 0, 200, 100]);
    expect(ends(read(`${root} preserveAspectRatio=" none slice "`))).toEqual([0, 0, 200, 100]);
    expect(ends(read(root))).toEqual([50, 0, 150, 100]);
    expect(ends(read(`${root} preserveAspectRatio="defer xMaxYMid"`))).toEqual([100, 0, 200, 100]);
  });

  it('anything else is refused', () => {
    for (const ratio of ['', 'xMid', 'xMidYmid', 'xMidYMid fit', 'meet', 'YMidxMid']) {
      const root = `width="5mm" height="5mm" viewBox="0 0 5 5" preserveAspectRatio="${ratio}"`;
      expectRefused(page('', root), 'expected none, or xMin, xMid or xMax with YMin, YMid or YMax');
    }
  });
});

describe('units given by the job', () => {
  it('speak for a drawing that states none: a unit of the viewBox has that length', () => {
    for (const root of [
      'viewBox="0 0 60 40"',
      'width="600" height="400" viewBox="0 0 60 40"',
      'width="100%" viewBox="0 0 60 40"',
    ]) {
      const drawing = read(root, 'mm');
      expect(drawing.page).toEqual({ minX: 0, minY: 0, maxX: 60, maxY: 40 });
      expect(ends(drawing)).toEqual([0, 0, 100, 100]);
      expect(drawing.units).toBe('mm');
      expect(drawing.warnings).toEqual([]);
    }
    const inches = read('viewBox="10 20 6 4"', 'in').page!;
    expect(inches.maxX).toBeCloseTo(152.4, 10);
    expect(inches.maxY).toBeCloseTo(101.6, 10);
    expect(ends(read('viewBox="10 20 6 4"', 'in')).slice(0, 2)).toEqual([-254, -508]);
  });

  it('speak for the user unit where there is no viewBox', () => {
    const drawing = read('width="60" height="40"', 'mm');
    expect(drawing.page).toEqual({ minX: 0, minY: 0, maxX: 60, maxY: 40 });
    expect(ends(drawing)).toEqual([0, 0, 100, 100]);
    expect(ends(read('height="40"', 'cm'))).toEqual([0, 0, 1000, 1000]);
  });

  it('change nothing where the drawing states the same', () => {
    const drawing = read('width="200mm" height="100mm" viewBox="0 0 100 100"', 'mm');
    expect(ends(drawing)).toEqual([50, 0, 150, 100]);
    expect(drawing.warnings).toEqual([]);
    expect(read('width="1in" height="2in" viewBox="0 0 25.4 50.8"', 'mm').warnings).toEqual([]);
  });

  it('win over what the drawing states, with a warning that names both', () => {
    const drawing = read('width="60in" height="40in" viewBox="0 0 60 40"', 'mm');
    expect(drawing.page).toEqual({ minX: 0, minY: 0, maxX: 60, maxY: 40 });
    expect(ends(drawing)).toEqual([0, 0, 100, 100]);
    expect(drawing.units).toBe('mm');
    expect(drawing.warnings).toEqual([
      {
        code: 'units-overridden',
        message:
          'The drawing states its size in in, which makes one of its units 25.4 mm long; ' +
          'the job says units: mm, and so each is taken as 1 mm.',
      },
    ]);
  });

  it('win over px and over a stretched page too', () => {
    const drawing = read('width="60px" height="40px"', 'mm');
    expect(drawing.page).toEqual({ minX: 0, minY: 0, maxX: 60, maxY: 40 });
    expect(drawing.warnings[0]!.message).toMatch('in px, which makes one of its units 0.264583 mm long');
    const stretched = read('width="60mm" height="40mm" viewBox="0 0 60 20" preserveAspectRatio="none"', 'mm');
    expect(stretched.warnings[0]!.message).toMatch('1 mm across and 2 mm up long');
    expect(ends(stretched)).toEqual([0, 0, 100, 100]);
  });

  it('without viewBox leave a page stated in another unit its height', () => {
    const drawing = read('width="60cm" height="40cm"', 'mm');
    expect(drawing.page).toEqual({ minX: 0, minY: 0, maxX: 600, maxY: 400 });
    expect(ends(drawing)).toEqual([0, 0, 100, 100]);
    expect(drawing.warnings[0]!.code).toBe('units-overridden');
  });

  it.each([
    ['m', 1000],
    ['um', 0.001],
    ['ft', 304.8],
    ['mil', 0.0254],
    ['q', 0.25],
    ['px', 25.4 / 96],
  ] as const)('%s is %d mm', (units, size) => {
    const { page: sheet } = read('viewBox="0 0 2 3"', units, '');
    expect(sheet!.maxX).toBeCloseTo(2 * size, 12);
    expect(sheet!.maxY).toBeCloseTo(3 * size, 12);
  });
});
