import { describe, expect, it } from 'vitest';
import { type CutInput, cutOpenings } from '../../src/cut/cut.js';
import type { Shape } from '../../src/drawing/model/drawing.js';
import { compose, type Matrix, mirrorX, rotation, scaling, translation } from '../../src/geometry/affine.js';
import { trueToMachineMatrix } from '../../src/marks/frames.js';
import { deviation } from './deviation.js';
import { fineness, judge } from './judge.js';
import { secondAnswer, statedError } from './second-engine.js';
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

const drawings: readonly (readonly [string, readonly Shape[]])[] = [
  ['a rectangle', [shape('a', rectangle(10, 10, 100, 60))]],
  ['a circle', [shape('a', circle(10, 10, 7))]],
  ['an ellipse', [shape('a', ellipse(10, 10, 5, 3, 0.4))]],
  ['a needle-like ellipse', [shape('a', ellipse(10, 10, 15, 1, 0.4))]],
  ['a star of five', [shape('a', star(10, 10, 5, 10, 4, 0.1))]],
  ['a star of twelve, sharper than the limit', [shape('a', star(10, 10, 12, 10, 4, 0.1))]],
  ['a leaf', [shape('a', leaf(0, 0, 30, 6, 0.3))]],
  ['a broad leaf', [shape('a', leaf(0, 0, 30, 16, 0.3))]],
  ['a rounded rectangle', [shape('a', roundedRectangle(0, 0, 30, 16, 3))]],
  ['a slot with round ends', [shape('a', roundedRectangle(0, 0, 30, 16, 8))]],
  [
    'an island with an opening in it',
    [shape('a', circle(0, 0, 10), star(0, 0, 5, 7, 3)), shape('c', circle(0, 0, 1))],
  ],
  [
    'neighbours that merge',
    [shape('a', circle(0, 0, 5)), shape('b', circle(10.4, 0, 5)), shape('c', leaf(3, 5.3, 20, 4, 0.2))],
  ],
  [
    'openings that overlap',
    [shape('a', circle(0, 0, 5)), shape('b', circle(6, 0, 5)), shape('c', leaf(-5, 1, 20, 4, 0.2))],
  ],
  ['wavy rings', [shape('a', wavyRing(0, 0, 0.5)), shape('b', wavyRing(18, 0, 1.5))]],
  ['a letter C that may close', [shape('a', letterC(0, 0, 10, 3, 0.08))]],
  ['a spiral', [shape('a', spiral(0, 0, 4, 2.9, 3))]],
  ['a figure of eight', [shape('a', polygon([0, 0], [10, 10], [10, 0], [0, 10]))]],
  [
    'a pentagram',
    [
      shape(
        'a',
        polygon(
          ...[0, 144, 288, 72, 216].map((a): [number, number] => [
            10 * Math.cos((a * Math.PI) / 180),
            10 * Math.sin((a * Math.PI) / 180),
          ]),
        ),
      ),
    ],
  ],
];

const check = (input: CutInput): void => {
  const judged = judge(input);
  expect(judged.open, 'a corner at the mitre limit').toBe(false);
  expect(judged.fault).toBeUndefined();
};

describe('every path lies within the tolerance of the exact parallel curve, both ways round', () => {
  for (const [name, openings] of drawings) {
    it(`of ${name}: openings and inlays, round and mitred, narrow and wide`, () => {
      for (const kind of ['opening', 'inlay'] as const) {
        for (const corners of ['round', 'mitre'] as const) {
          for (const clearance of [0.1, 1.7]) {
            check(cutInput(openings, { kind, corners, clearance, mitreLimit: 2.5 }));
          }
        }
      }
    });
  }
});

describe('the bound holds', () => {
  const all = [
    shape('leaf', leaf(0, 0, 30, 6, 0.3)),
    shape('star', star(40, 5, 5, 10, 4, 0.1)),
    shape('ring', wavyRing(20, 30, 0.4), circle(20, 30, 2.5)),
    shape('frame', backwards(roundedRectangle(45, 20, 20, 14, 3)), ellipse(55, 27, 6, 3, 0.2)),
  ];
  const turn = compose(translation(312.4, 196.1), rotation(1.234));
  const affine: Matrix = compose(turn, [1.003, 0.002, -0.011, 0.998, 0, 0]);
  const faceDown = compose(turn, mirrorX);
  const uneven = trueToMachineMatrix({
    axes: 'y-down',
    bedMap: { scale: [1.0004, 0.9998], skew: 0.35e-3 },
    beamOffset: { x: 0.12, y: -0.31 },
  });
  const places: readonly (readonly [string, Matrix, Matrix])[] = [
    ['on a turned panel', turn, scaling(1, 1)],
    ['under an affine placement', affine, scaling(1, 1)],
    ['with the face down', faceDown, scaling(1, 1)],
    ['on a bed that counts y downwards', turn, scaling(1, -1)],
    ['under a bed map of uneven scale and skew', affine, uneven],
  ];
  for (const [name, toBed, toMachine] of places) {
    it(name, () => {
      for (const kind of ['opening', 'inlay'] as const) {
        for (const corners of ['round', 'mitre'] as const) {
          check(cutInput(all, { kind, corners, clearance: 0.5, kerf: 0.12 }, { toBed, toMachine }));
        }
      }
    });
  }

  it('at a tolerance of 0.0005 mm and of 0.05 mm', () => {
    for (const tolerance of [0.0005, 0.05]) {
      for (const kind of ['opening', 'inlay'] as const) {
        check(cutInput(all, { kind, corners: 'mitre', tolerance, clearance: 0.6 }, { toBed: turn }));
      }
    }
  });

  it('as an opening shrinks step by step until nothing is left of it', () => {
    const openings = [shape('leaf', leaf(0, 0, 30, 6, 0.3)), shape('ring', wavyRing(20, 30, 0.4))];
    const left: number[] = [];
    for (let clearance = 0.5; clearance < 6.6; clearance += 0.75) {
      const input = cutInput(openings, { kind: 'inlay', clearance });
      check(input);
      left.push(judge(input).cut.paths.length);
    }
    expect(left[0]).toBe(2);
    expect(left.at(-1)).toBe(0);
  });

  it('as openings grow step by step into one another', () => {
    const openings = [0, 1].flatMap((i) =>
      [0, 1].map((j) => shape(`r${i}${j}`, wavyRing(i * 20, j * 20, i + 2 * j, 0.8))),
    );
    const counts = [0.5, 1.5, 4, 9].map((clearance) => {
      const input = cutInput(openings, { clearance });
      check(input);
      return judge(input).cut.paths.length;
    });
    expect(counts[0]).toBe(4);
    expect(counts.at(-1)).toBe(1);
  });
});

describe('the judge', () => {
  it('sees an edge that is 0.006 mm out', () => {
    const right = cutInput([shape('a', wavyRing(0, 0, 0.5))]);
    const { deviation: d } = judge({ ...right, cut: { ...right.cut, clearance: 0.5 } });
    expect(d.out.distance).toBeGreaterThan(0.0005);
    expect(judgedAgainst(right, 0.506)).toBe(true);
  });
});

/** Whether paths cut with another clearance are found at fault. */
const judgedAgainst = (input: CutInput, clearance: number): boolean => {
  const out = cutOpenings({ ...input, cut: { ...input.cut, clearance } }).paths.map((p) => p.segments);
  const d = deviation(out, secondAnswer(input, fineness).rings, input.cut.tolerance);
  return Math.max(d.out.distance, d.back.distance) > input.cut.tolerance + statedError(input, fineness);
};
