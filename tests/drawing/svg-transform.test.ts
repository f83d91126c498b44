import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseTransform } from '../../src/drawing/svg/style/transform-attribute.js';
import { readSvg } from '../../src/drawing/svg/svg.js';
import { apply, compose, type Matrix } from '../../src/geometry/affine.js';
import { transformPath } from '../../src/geometry/curve.js';
import {
  bytesOf,
  expectPoint,
  expectRefused,
  expectSameTrace,
  onlyPath,
  page,
  pathsOf,
  readBody,
  readText,
} from './svg-text.js';

const expectMatrix = (found: Matrix, expected: readonly number[]): void => {
  found.forEach((value, i) => {
    expect(value).toBeCloseTo(expected[i]!, 12);
  });
};

describe('transform lists (W3C SVG 1.1, section 7.6)', () => {
  it('know all six maps', () => {
    expectMatrix(parseTransform('matrix(1 2 3 4 5 6)'), [1, 2, 3, 4, 5, 6]);
    expectMatrix(parseTransform('translate(3,4)'), [1, 0, 0, 1, 3, 4]);
    expectMatrix(parseTransform('translate(3)'), [1, 0, 0, 1, 3, 0]);
    expectMatrix(parseTransform('scale(2 3)'), [2, 0, 0, 3, 0, 0]);
    expectMatrix(parseTransform('scale(2)'), [2, 0, 0, 2, 0, 0]);
    const c = Math.sqrt(3) / 2;
    expectMatrix(parseTransform('rotate(30)'), [c, 0.5, -0.5, c, 0, 0]);
    expectMatrix(parseTransform('skewX(45)'), [1, 0, 1, 1, 0, 0]);
    expectMatrix(parseTransform('skewY(45)'), [1, 1, 0, 1, 0, 0]);
  });

  it('turn about a point that stays where it is', () => {
    const m = parseTransform('rotate(37 12 -5)');
    const fixed = apply(m, { x: 12, y: -5 });
    expectPoint(fixed, 12, -5, 12);
    expectMatrix(parseTransform('rotate(90, 10, 20)'), [0, 1, -1, 0, 30, 10]);
  });

  it('make quarter turns exact', () => {
    expect(parseTransform('rotate(90)')).toEqual([0, 1, -1, 0, 0, 0]);
    expect(parseTransform('rotate(-90)').map((value) => value + 0)).toEqual([0, -1, 1, 0, 0, 0]);
    expect(parseTransform('rotate(540)').map((value) => value + 0)).toEqual([-1, 0, 0, -1, 0, 0]);
  });

  it('apply from right to left', () => {
    // (1, 0) is doubled to (2, 0), turned to (0, 2), moved to (10, 2).
    expectPoint(apply(parseTransform('translate(10) rotate(90) scale(2)'), { x: 1, y: 0 }), 10, 2, 12);
  });

  it('may be written with commas, blanks or nothing between', () => {
    const whole = parseTransform('translate(1,2) rotate(90) scale(3)');
    for (const text of [
      'translate(1 2),rotate(90),scale(3)',
      ' translate( 1 , 2 )\n,\trotate (90)scale(3) ',
      'translate(1,2)rotate(9e1)scale(+3.0)',
    ]) {
      expect(parseTransform(text)).toEqual(whole);
    }
    expect(parseTransform('matrix(1-2.5.5-3,0 1)')).toEqual([1, -2.5, 0.5, -3, 0, 1]);
  });

  it('may be empty or none', () => {
    for (const text of ['', '  ', 'none', ' none ']) expect(parseTransform(text)).toEqual([1, 0, 0, 1, 0, 0]);
  });
});

describe('a malformed transform is an error with its place, never a map that does nothing', () => {
  const cases: [transform: string, message: string, column: number][] = [
    [
      'rotate(30',
      'the end of the value in the attribute transform; expected a number or a closing bracket',
      9,
    ],
    ['rotat(30)', '"rotat(30)" in the attribute transform; expected one of matrix, translate', 0],
    ['Rotate(30)', 'expected one of matrix, translate, scale, rotate, skewX, skewY', 0],
    ['rotate 30', '"30" in the attribute transform; expected an opening bracket', 7],
    ['rotate(30deg)', '"deg)" in the attribute transform; expected a number or a closing bracket', 9],
    ['translate(1px, 2px)', '"px, 2px)" in the attribute transform; expected a number', 11],
    ['translate()', 'translate with 0 numbers in the attribute transform; expected translate with 1 or 2', 0],
    ['rotate(1 2)', 'rotate with 2 numbers in the attribute transform; expected rotate with 1 or 3', 0],
    ['scale(1) matrix(1 2 3)', 'matrix with 3 numbers in the attribute transform; expected matrix with 6', 9],
    ['translate(1,,2)', '",2)" in the attribute transform; expected a number after the comma', 12],
    ['translate(1,2,)', '")" in the attribute transform; expected a number after the comma', 14],
    [
      'translate(1,2),',
      'the end of the value in the attribute transform; expected another map after the comma',
      15,
    ],
    ['translate(1 2) 5', '"5" in the attribute transform; expected one of matrix', 15],
    ['scale(NaN)', '"NaN)" in the attribute transform; expected a number', 6],
    ['scale(1e999)', 'the number 1e999, which is too large to compute with', 6],
    ['skewX(90)', 'skewX(90), which sends points to infinity; expected a finite map', 0],
    ['constructor(1)', '"constructor(1)" in the attribute transform; expected one of', 0],
    ['scale(1e200) scale(1e200)', 'transforms that multiply to numbers too large to compute with', 0],
  ];

  it.each(cases)('"%s"', (transform, message, column) => {
    expectRefused(page(`\n<g id="leaves" transform="${transform}"><path d="M0 0L1 1"/></g>`), message, {
      line: 2,
      column: '<g id="leaves" transform="'.length + 1 + column,
      element: 'leaves',
    });
  });

  it('refuses transforms that only a style sheet language would apply, instead of ignoring them', () => {
    const styled = '<g id="leaves" style="fill:none; transform: rotate(30)"><path d="M0 0L1 1"/></g>';
    expectRefused(page(styled), 'transform: rotate(30) as a style; expected the same as an attribute', {
      element: 'leaves',
    });
    expectRefused(page('<g style="rotate: 5deg"><path d="M0 0L1 1"/></g>'), 'rotate: 5deg as a style');
    expectRefused(page('<circle style="r: 5" r="3"/>'), 'r: 5 as a style');
    expectRefused(
      page('<path d="M0 0L1 1"/>', 'width="10mm" height="10mm" transform="rotate(5)"'),
      'a transform on the outermost svg element, which programs do not agree about',
    );
  });

  it('leaves out what a transform flattens to nothing, and says so', () => {
    const { shapes, leftOut } = readBody('<circle id="c" r="5" transform="scale(0 1)"/>');
    expect(shapes).toEqual([]);
    expect(leftOut).toEqual([
      { what: 'circle', where: 'line 1 (c)', why: 'its transform flattens it to nothing' },
    ]);
  });
});

const leaf = `<path d="M5 5 C 9 2 14 8 18 5 Q 20 9 22 5 A 3 2 20 0 1 25 9 A 4 4 0 0 0 20 12 Z"/>
  <rect x="3" y="2" width="9" height="4" rx="1"/><circle cx="7" cy="4" r="2"/><ellipse cx="3" cy="1" rx="4" ry="1"/>`;

const number = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const map = fc.oneof(
  fc.tuple(number(-9, 9), number(-9, 9)).map(([x, y]) => `translate(${x} ${y})`),
  fc.tuple(number(0.2, 2), fc.boolean()).map(([s, flip]) => `scale(${flip ? -s : s} ${s})`),
  fc.tuple(number(0.2, 2), number(0.2, 2)).map(([x, y]) => `scale(${x},${y})`),
  number(-360, 360).map((a) => `rotate(${a})`),
  fc.tuple(number(-360, 360), number(-9, 9), number(-9, 9)).map(([a, x, y]) => `rotate(${a} ${x} ${y})`),
  number(-60, 60).map((a) => `skewX(${a})`),
  number(-60, 60).map((a) => `skewY(${a})`),
);

describe('transforms compose', () => {
  it('nested groups, one list and one matrix place the same drawing alike', () => {
    fc.assert(
      fc.property(fc.array(map, { minLength: 1, maxLength: 5 }), (maps) => {
        const nested = maps.map((m) => `<g transform="${m}">`).join('') + leaf + '</g>'.repeat(maps.length);
        const matrix = maps.map(parseTransform).reduce(compose);
        const one = `<g transform="${maps.join(' ')}">${leaf}</g>`;
        const single = `<g transform="matrix(${matrix.join(',')})">${leaf}</g>`;
        const expected = pathsOf(readBody(nested));
        // Shears of 60 degrees five deep magnify a thousandfold.
        expectSameTrace(pathsOf(readBody(one)), expected, 1e-8);
        expectSameTrace(pathsOf(readBody(single)), expected, 1e-8);
      }),
      { seed: 20261125, numRuns: 200 },
    );
  });

  it('a turned group reads as the turn of what is read without it', () => {
    fc.assert(
      fc.property(map, (m) => {
        // The page turns y over: what the file turns clockwise turns clockwise on the page.
        const flip: Matrix = [1, 0, 0, -1, 0, 100];
        const onDesign = compose(compose(flip, parseTransform(m)), flip);
        const plain = pathsOf(readBody(leaf)).map((path) => transformPath(onDesign, path));
        expectSameTrace(pathsOf(readBody(`<g transform="${m}">${leaf}</g>`)), plain, 1e-9);
      }),
      { seed: 20261125, numRuns: 200 },
    );
  });

  it('a transform on the shape is the same as on a group around it, and as on its use', () => {
    const expected = [onlyPath('<g transform="rotate(20) scale(2 1)"><circle cx="9" cy="5" r="2"/></g>')];
    expectSameTrace([onlyPath('<circle cx="9" cy="5" r="2" transform="rotate(20) scale(2 1)"/>')], expected);
    const used =
      '<defs><circle id="c" cx="9" cy="5" r="2"/></defs><use href="#c" transform="rotate(20) scale(2 1)"/>';
    expectSameTrace([onlyPath(used)], expected);
  });

  it('y runs up from the bottom left corner of the page', () => {
    const drawing = readText(
      page('<path d="M 0 0 L 10 20"/>', 'width="60mm" height="40mm" viewBox="0 0 60 40"'),
    );
    expect(drawing.shapes[0]!.paths[0]!.segments[0]).toEqual({
      kind: 'line',
      from: { x: 0, y: 40 },
      to: { x: 10, y: 20 },
    });
    expect(drawing.page).toEqual({ minX: 0, minY: 0, maxX: 60, maxY: 40 });
    expect(readSvg(bytesOf(page('')), { path: 'a.svg' }).path).toBe('a.svg');
  });
});
