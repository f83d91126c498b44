/** Islands that overlap, touch or share an edge, and rings that touch the one round them: each was cut wrong once. */
import { expect, it } from 'vitest';
import type { Shape } from '../../src/drawing/model/drawing.js';
import { finest, judge } from './judge.js';
import { circle, cutInput, polygon, rectangle, shape } from './shapes.js';

const cases: [string, Shape[]][] = [
  [
    'two islands that overlap',
    [shape('a', circle(0, 0, 20), rectangle(-6, -3, 8, 6), rectangle(0, -4, 6, 8))],
  ],
  [
    'two islands that share an edge',
    [shape('a', circle(0, 0, 20), rectangle(-6, -3, 6, 6), rectangle(0, -3, 6, 6))],
  ],
  [
    'a round island and a triangle across it',
    [
      shape('a', circle(0, 0, 12)),
      shape('b', circle(0, 0, 6)),
      shape('c', polygon([0, 1], [-2, 10], [-2, 4])),
    ],
  ],
  [
    'crescent in ONE path (inner circle against the outer: winding 0 inside)',
    [
      shape('a', [
        ...circle(0, 0, 10),
        ...circle(4, 0, 6).map((s) => (s.kind === 'arc' ? { ...s, sweep: -s.sweep } : s)),
      ]),
    ],
  ],
  ['crescent of two circles that touch inside', [shape('a', circle(0, 0, 10)), shape('b', circle(4, 0, 6))]],
  [
    'island whose corner touches the edge',
    [shape('a', rectangle(0, 0, 20, 20)), shape('b', polygon([20, 10], [12, 14], [12, 6]))],
  ],
  [
    'island that shares a stretch of the edge (a C by parity)',
    [shape('a', rectangle(0, 0, 20, 20)), shape('b', rectangle(10, 5, 10, 10))],
  ],
  [
    'opening in an island, touching its edge',
    [shape('a', circle(0, 0, 20)), shape('b', circle(0, 0, 10)), shape('c', circle(5, 0, 5))],
  ],
];
for (const [name, openings] of cases) {
  for (const kind of ['opening', 'inlay'] as const) {
    it(`${name}, ${kind}`, () =>
      expect(judge(cutInput(openings, { kind, clearance: 1 }), finest).fault).toBeUndefined());
  }
}
