/**
 * Cut paths against the exact parallel curve: by closed forms, and by another engine (jsts, see second-engine.ts) both
 * ways round.
 */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type CutInput, cutOpenings } from '../../src/cut/cut.js';
import type { Shape } from '../../src/drawing/drawing.js';
import { compose, type Matrix, mirrorX, rotation, scaling, translation } from '../../src/geometry/affine.js';
import { deviation } from './deviation.js';
import { secondAnswer, signedArea, statedError } from './second-engine.js';
import {
  backwards,
  circle,
  cutInput,
  ellipse,
  leaf,
  letterC,
  polygon,
  rectangle,
  roundedRectangle,
  shape,
  spiral,
  star,
  wavyRing,
} from './shapes.js';

const fineness = { chord: 2e-5, turn: 0.01 };
const placed = compose(translation(412.3, 138.6), rotation(0.37));
const stretched: Matrix = compose(placed, [1.003, 0.002, -0.004, 0.996, 0, 0]);

const paths = (input: CutInput) => cutOpenings(input).paths.map((p) => p.segments);

const expectParallel = (input: CutInput): void => {
  const answer = secondAnswer(input, fineness);
  if (answer.ambiguous) return;
  const bound = input.cut.tolerance + statedError(input, fineness);
  const cut = cutOpenings(input).paths;
  if (cut.length === 0 || answer.rings.length === 0) {
    // One engine may keep a thread that is thinner than the bound where the other keeps nothing.
    for (const p of cut) expect(p.area).toBeLessThan(bound * p.length);
    for (const ring of answer.rings) expect(Math.abs(signedArea(ring))).toBeLessThan(bound * ring.length);
    return;
  }
  const found = deviation(
    cut.map((p) => p.segments),
    answer.rings,
    bound,
  );
  expect(found.out.distance, `a path strays at ${found.out.at}`).toBeLessThanOrEqual(bound);
  expect(found.back.distance, `the parallel curve is missed at ${found.back.at}`).toBeLessThanOrEqual(bound);
};

const total = (input: CutInput, of: 'length' | 'area'): number =>
  cutOpenings(input).paths.reduce((sum, p) => sum + p[of], 0);

describe('closed forms', () => {
  // J. Steiner: area A + P r + pi r^2, perimeter P + 2 pi r of a rounded offset of a convex outline (recomputed).
  test('a rectangle 100 x 60 offset 2: round 6652.56637, mitred 6656, inset 5376', () => {
    const openings = [shape('r', rectangle(0, 0, 100, 60))];
    expect(total(cutInput(openings, { clearance: 2 }), 'area')).toBeCloseTo(6652.56637, 5);
    expect(total(cutInput(openings, { clearance: 2 }), 'length')).toBeCloseTo(332.56637, 5);
    expect(total(cutInput(openings, { clearance: 2, corners: 'mitre' }), 'area')).toBeCloseTo(6656, 9);
    expect(total(cutInput(openings, { clearance: 2, kind: 'infill' }), 'area')).toBeCloseTo(5376, 9);
  });

  test('an ellipse 5 x 3 offset 1: perimeter 31.810184 and area 75.792481, within what the tolerance allows', () => {
    const input = cutInput([shape('e', ellipse(0, 0, 5, 3))], { clearance: 1 });
    // An edge off by at most 0.005 mm changes the area by at most 0.005 mm times the perimeter.
    expect(Math.abs(total(input, 'area') - 75.792481)).toBeLessThan(0.005 * 31.82);
    expect(Math.abs(total(input, 'length') - 31.810184)).toBeLessThan(0.005);
    const fine = cutInput([shape('e', ellipse(0, 0, 5, 3))], { clearance: 1, tolerance: 1e-5 });
    expect(Math.abs(total(fine, 'area') - 75.792481)).toBeLessThan(1e-5 * 31.82);
  });

  // W3C SVG 2, stroke-miterlimit: the mitre's length over its width is 1 / sin(theta / 2).
  test.each([
    [60, 2],
    [90, Math.SQRT2],
    [30, 1 / Math.sin(Math.PI / 12)],
  ])('the tip over a corner of %d degrees lies %f offsets away', (degrees, ratio) => {
    const half = (degrees * Math.PI) / 360;
    const wedge = polygon(
      [0, 0],
      [-20 * Math.cos(half), -20 * Math.sin(half)],
      [-20 * Math.cos(half), 20 * Math.sin(half)],
    );
    const result = cutOpenings(cutInput([shape('w', wedge)], { clearance: 0.5, corners: 'mitre' }));
    expect(result.paths[0]!.box.maxX).toBeCloseTo(0.5 * ratio, 9);
  });

  test('a corner sharper than the mitre limit is rounded, so that the clearance still holds there', () => {
    const half = (28 * Math.PI) / 360;
    const wedge = polygon(
      [0, 0],
      [-20 * Math.cos(half), -20 * Math.sin(half)],
      [-20 * Math.cos(half), 20 * Math.sin(half)],
    );
    const result = cutOpenings(cutInput([shape('w', wedge)], { clearance: 0.5, corners: 'mitre' }));
    expect(result.paths[0]!.box.maxX).toBeCloseTo(0.5, 9);
  });
});

describe('edges stay what they were', () => {
  const kinds = (openings: readonly Shape[], settings = {}, rest = {}): string =>
    paths(cutInput(openings, settings, rest))
      .map((p) => p.map((s) => s.kind[0]).join(''))
      .join(' ');

  test('a rectangle comes out as four lines, a star as its lines, each corner one vertex', () => {
    expect(kinds([shape('r', rectangle(0, 0, 30, 20))], { corners: 'mitre' }, { toBed: placed })).toBe(
      'llll',
    );
    expect(kinds([shape('s', star(0, 0, 5, 20, 9))], { corners: 'mitre' }, { toBed: placed })).toBe(
      'llllllllll',
    );
  });

  test('a circle comes out as arcs of one circle', () => {
    const [path] = paths(cutInput([shape('c', circle(3, 4, 8))], {}, { toBed: placed }));
    for (const s of path!) {
      expect(s.kind).toBe('arc');
      if (s.kind === 'arc') expect(s.radius).toBeCloseTo(8.5, 9);
    }
    expect(path!.length).toBeLessThanOrEqual(4);
  });

  test('a rounded rectangle comes out as four lines and four arcs', () => {
    const found = kinds([shape('r', roundedRectangle(0, 0, 40, 25, 6))], {}, { toBed: placed });
    expect([...found].sort().join('')).toBe('aaaallll');
  });

  test('squares in a row that merge keep one straight line along their common side', () => {
    const openings = [0, 1, 2, 3].map((i) => shape(`q${i}`, rectangle(i * 10.4, 0, 10, 10)));
    const result = cutOpenings(cutInput(openings, { corners: 'mitre' }));
    expect(result.paths.map((p) => p.segments.length)).toEqual([4]);
    expect(result.merged).toEqual([['q0', 'q1', 'q2', 'q3']]);
    expect(result.paths[0]!.openings).toEqual(['q0', 'q1', 'q2', 'q3']);
  });
});

describe('nesting decides sides', () => {
  test('an island inside an opening shrinks when the opening grows, and is cut first', () => {
    const result = cutOpenings(
      cutInput([shape('ring', circle(0, 0, 20)), shape('island', circle(1, 0, 10))]),
    );
    expect(result.paths.map((p) => [p.openings[0], p.hole])).toEqual([
      ['island', true],
      ['ring', false],
    ]);
    expect(result.paths[0]!.length).toBeCloseTo(2 * Math.PI * 9.5, 6);
    expect(result.paths[1]!.length).toBeCloseTo(2 * Math.PI * 20.5, 6);
  });

  test('a path drawn backwards gives the same cut', () => {
    const one = cutOpenings(cutInput([shape('w', wavyRing(0, 0, 0.4)), shape('s', star(40, 0, 6, 9, 4))]));
    const other = cutOpenings(
      cutInput([shape('w', backwards(wavyRing(0, 0, 0.4))), shape('s', backwards(star(40, 0, 6, 9, 4)))]),
    );
    one.paths.forEach((p, i) => {
      expect(other.paths[i]!.openings).toEqual(p.openings);
      expect(Math.abs(other.paths[i]!.area - p.area)).toBeLessThan(0.01 * p.length);
    });
    const back = deviation(
      other.paths.map((p) => p.segments),
      secondAnswer(cutInput([shape('w', wavyRing(0, 0, 0.4)), shape('s', star(40, 0, 6, 9, 4))]), fineness)
        .rings,
      0.006,
    );
    expect(Math.max(back.out.distance, back.back.distance)).toBeLessThan(0.0052);
  });

  test('a figure of eight is an opening on both sides of its crossing', () => {
    const result = cutOpenings(cutInput([shape('eight', polygon([0, 0], [10, 10], [10, 0], [0, 10]))]));
    expect(result.paths).toHaveLength(1);
    expect(result.paths[0]!.area).toBeGreaterThan(50);
  });

  test('a path drawn twice is cut once', () => {
    const result = cutOpenings(cutInput([shape('a', circle(0, 0, 5)), shape('b', circle(0, 0, 5))]));
    expect(result.paths).toHaveLength(1);
    expect(result.warnings.map((w) => w.code)).toEqual(['duplicate-left-out']);
  });
});

describe('what is left', () => {
  test('the land between two circles is measured where it is thinnest', () => {
    const openings = [shape('a', circle(0, 0, 5)), shape('b', circle(12, 0, 5))];
    const result = cutOpenings(cutInput(openings, { clearance: 0.5, kerf: 0.2, smallestLand: 1.5 }));
    expect(result.thinLands).toHaveLength(1);
    expect(result.thinLands[0]!.width).toBeCloseTo(1, 9);
    expect(result.thinLands[0]!.at.x).toBeCloseTo(6, 6);
    expect(result.thinLands[0]!.at.y).toBeCloseTo(0, 6);
  });

  test('an infill narrower than twice the clearance vanishes and is named', () => {
    const openings = [shape('slot', rectangle(0, 0, 30, 0.8)), shape('wide', rectangle(0, 10, 30, 8))];
    const result = cutOpenings(cutInput(openings, { kind: 'infill' }));
    expect(result.vanished).toEqual(['slot']);
    expect(result.paths.map((p) => p.openings)).toEqual([['wide']]);
  });
});

describe('against another engine, both ways round', () => {
  const everyKind: [string, Shape[]][] = [
    ['ellipses', [shape('a', ellipse(0, 0, 14, 5, 0.4)), shape('b', ellipse(30, 4, 9, 8.5, 1))]],
    ['pointed stars', [shape('a', star(0, 0, 5, 18, 7)), shape('b', star(40, 0, 9, 14, 9))]],
    ['leaves of cubics', [shape('a', leaf(0, 0, 45, 12)), shape('b', leaf(0, 24, 60, 5, 0.2))]],
    ['rounded rectangles', [shape('a', roundedRectangle(0, 0, 40, 22, 5))]],
    ['an island in an opening', [shape('a', ellipse(0, 0, 20, 16)), shape('b', star(0, 0, 5, 9, 4))]],
    [
      'neighbours that merge',
      [shape('a', circle(0, 0, 8)), shape('b', ellipse(16.6, 1, 8, 6)), shape('c', leaf(-4, 9, 30, 6))],
    ],
    ['a letter and a spiral', [shape('a', letterC(0, 0, 14, 5, 0.7)), shape('b', spiral(45, 0, 5, 2.2, 2))]],
    ['wavy rings', [shape('a', wavyRing(0, 0, 0)), shape('b', wavyRing(19, 0, 1.3))]],
  ];
  const settings = [
    { clearance: 0.5, corners: 'round' },
    { clearance: 0.5, kerf: 0.12, corners: 'mitre' },
    { clearance: 0.8, kind: 'infill', corners: 'round' },
    { clearance: 2.4, corners: 'mitre' },
    { clearance: 2.4, kind: 'infill', corners: 'mitre' },
  ] as const;
  test.each(everyKind)('%s', (_, openings) => {
    for (const setting of settings) expectParallel(cutInput(openings, setting, { toBed: placed }));
    expectParallel(cutInput(openings, settings[0], { toBed: stretched }));
    expectParallel(cutInput(openings, settings[1], { toBed: compose(placed, mirrorX) }));
  });

  test('the bed map is undone after the offset, on a y-down display too', () => {
    const toMachine = compose(scaling(1, -1), [1 / 1.0004, 0.0003, 0, 1 / 0.9998, -0.12, 0.31]);
    for (const [, openings] of everyKind.slice(0, 4)) {
      expectParallel(cutInput(openings, settings[1], { toBed: placed, toMachine }));
    }
  });
});

describe('invariance', () => {
  const openings = [
    shape('a', leaf(0, 0, 45, 12)),
    shape('b', star(20, 40, 6, 12, 5)),
    shape('c', ellipse(60, 20, 9, 5)),
  ];

  test('the order of the openings changes nothing', () => {
    expect(cutOpenings(cutInput([...openings].reverse()))).toEqual(cutOpenings(cutInput(openings)));
  });

  test('moving the bed moves the paths and leaves their lengths and areas', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -3, max: 3, noNaN: true }),
        fc.double({ min: -500, max: 500, noNaN: true }),
        (angle, x) => {
          const here = cutOpenings(cutInput(openings));
          const there = cutOpenings(
            cutInput(openings, {}, { toBed: compose(translation(x, 90), rotation(angle)) }),
          );
          for (const p of here.paths) {
            const q = there.paths.find((other) => other.openings[0] === p.openings[0])!;
            expect(q.length).toBeCloseTo(p.length, 3);
            expect(Math.abs(q.area - p.area)).toBeLessThan(0.002 * p.length);
          }
        },
      ),
      { seed: 20261125, numRuns: 30 },
    );
  });
});
