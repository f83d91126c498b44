import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { identity, type Matrix, mirrorX, rotation } from '../../src/geometry/affine.js';
import { derivativeAt, positionAt, reversed, type Segment } from '../../src/geometry/curve.js';
import { type Edge, type EdgeSettings, largestTurn, placedEdges } from '../../src/verdict/edge.js';
import {
  circle,
  circlePath,
  closedPath,
  leafPath,
  polygon,
  polygonPath,
  rectangle,
  rectanglePoints,
  shapeOf,
  starPoints,
} from './shapes.js';

const opening: EdgeSettings = { kind: 'opening', corners: 'mitre', mitreLimit: 4, pierced: 0 };

/** Largest n . d over the constraints for a displacement that is the same everywhere. */
const reach = (edge: Edge, x: number, y: number): number => {
  let largest = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < edge.x.length; i++)
    largest = Math.max(largest, edge.normalX[i]! * x + edge.normalY[i]! * y);
  return largest;
};

const normalsOf = (edge: Edge): string[] =>
  [
    ...new Set(
      Array.from(
        edge.normalX,
        (x, i) => `${Math.round(1e6 * x) / 1e6 + 0},${Math.round(1e6 * edge.normalY[i]!) / 1e6 + 0}`,
      ),
    ),
  ].sort();

describe('which way the new edge is set back', () => {
  test('a mitred rectangle has its four normals at both ends of each side', () => {
    const [edge] = placedEdges([rectangle('r', 0, 0, 40, 20)], identity, opening);
    expect(edge!.x.length).toBe(8);
    expect(normalsOf(edge!)).toEqual(['-1,0', '0,-1', '0,1', '1,0']);
    for (let i = 0; i < 8; i++) {
      expect(edge!.normalX[i]! * (edge!.x[i]! - 20) + edge!.normalY[i]! * (edge!.y[i]! - 10)).toBeGreaterThan(
        0,
      );
    }
  });

  test('winding and mirroring of a path change nothing', () => {
    const there = polygonPath(starPoints({ x: 5, y: 8 }, 20, 9, 5));
    const back = closedPath([...there.segments].reverse().map(reversed));
    const sides = (path: typeof there, matrix: Matrix) => {
      const [edge] = placedEdges([shapeOf('s', [path])], matrix, opening);
      return Array.from(edge!.x, (x, i) =>
        [x, edge!.y[i]!, edge!.normalX[i]!, edge!.normalY[i]!].map((v) => (v + 0).toFixed(6)).join(),
      ).sort();
    };
    expect(sides(back, identity)).toEqual(sides(there, identity));
    const mirrored = polygonPath(starPoints({ x: 5, y: 8 }, 20, 9, 5).map((p) => ({ x: -p.x, y: p.y })));
    expect(sides(mirrored, mirrorX)).toEqual(sides(there, identity));
  });

  test('an island in an opening is set back inwards, in one shape or two, and an opening in the island outwards again', () => {
    const outer = polygonPath(rectanglePoints(0, 0, 100, 100));
    const island = polygonPath(rectanglePoints(20, 20, 60, 60));
    const inner = polygonPath(rectanglePoints(40, 40, 20, 20));
    for (const shapes of [
      [shapeOf('all', [outer, island, inner])],
      [shapeOf('a', [outer]), shapeOf('b', [inner]), shapeOf('c', [island])],
    ]) {
      const edges = placedEdges(shapes, identity, opening);
      const right = edges.flatMap((e) =>
        Array.from(e.x, (x, i) => ({ x, n: e.normalX[i]! })).filter((p) => Math.abs(p.n) > 0.5 && p.x > 50),
      );
      expect(new Set(right.map((p) => `${p.x}:${Math.round(p.n)}`))).toEqual(
        new Set(['100:1', '80:-1', '60:1']),
      );
    }
  });

  test('an infill is set back the other way', () => {
    const shapes = [circle('c', { x: 0, y: 0 }, 10)];
    const [out] = placedEdges(shapes, identity, opening);
    const [back] = placedEdges(shapes, identity, { ...opening, kind: 'infill' });
    expect(Array.from(back!.normalX)).toEqual(Array.from(out!.normalX, (x) => -x + 0));
  });

  test('a path that crosses itself has no one side: both are taken', () => {
    const eight = polygon('eight', [
      { x: 0, y: 0 },
      { x: 40, y: 30 },
      { x: 40, y: 0 },
      { x: 0, y: 30 },
    ]);
    const [edge] = placedEdges([eight], identity, opening);
    expect(edge!.x.length).toBe(16);
    for (let angle = 0; angle < 6.3; angle += 0.1) {
      expect(reach(edge!, Math.cos(angle), Math.sin(angle))).toBeGreaterThan(0.5);
    }
  });

  test('pierced edges without kerf correction lie half a kerf outside the drawn ones, for both kinds of cut', () => {
    for (const kind of ['opening', 'infill'] as const) {
      const [edge] = placedEdges([circle('c', { x: 0, y: 0 }, 10)], identity, {
        ...opening,
        kind,
        pierced: 0.09,
      });
      for (let i = 0; i < edge!.x.length; i++)
        expect(Math.hypot(edge!.x[i]!, edge!.y[i]!)).toBeCloseTo(10.09, 9);
    }
  });

  test('an open path has no inside and gives no constraint', () => {
    const path = { ...polygonPath(rectanglePoints(0, 0, 10, 10)), closed: false };
    expect(placedEdges([shapeOf('open', [path])], identity, opening)[0]!.x.length).toBe(0);
  });
});

describe('corners', () => {
  const tip = polygon('tip', [
    { x: 0, y: 0 },
    { x: 30, y: -10 },
    { x: 30, y: 10 },
  ]);

  test('a pointed tip behind a rounded set-back is the first to show, behind a mitre only its two edges count', () => {
    const halfAngle = Math.atan2(10, 30);
    const [round] = placedEdges([tip], identity, { ...opening, corners: 'round' });
    const [mitre] = placedEdges([tip], identity, opening);
    expect(reach(round!, -1, 0)).toBeGreaterThan(1 - 2.5e-4);
    expect(reach(mitre!, -1, 0)).toBeCloseTo(Math.sin(halfAngle), 9);
  });

  test('beyond the mitre limit a corner is rounded all the same', () => {
    // Mitre ratio 1 / sin(half the angle) = 3.162 here.
    const [within] = placedEdges([tip], identity, { ...opening, mitreLimit: 3.2 });
    const [beyond] = placedEdges([tip], identity, { ...opening, mitreLimit: 3.1 });
    expect(reach(within!, -1, 0)).toBeLessThan(0.4);
    expect(reach(beyond!, -1, 0)).toBeGreaterThan(1 - 2.5e-4);
  });

  test('a hollow corner takes only the normals of its edges, however corners are made', () => {
    const ell = polygon('ell', [
      { x: 0, y: 0 },
      { x: 30, y: 0 },
      { x: 30, y: 10 },
      { x: 10, y: 10 },
      { x: 10, y: 30 },
      { x: 0, y: 30 },
    ]);
    const [edge] = placedEdges([ell], identity, { ...opening, corners: 'round' });
    for (let i = 0; i < edge!.x.length; i++) {
      if (Math.hypot(edge!.x[i]! - 10, edge!.y[i]! - 10) > 1e-9) continue;
      expect(Math.abs(edge!.normalX[i]!) + Math.abs(edge!.normalY[i]!)).toBeCloseTo(1, 9);
    }
  });

  test('a spike that runs back on itself counts as pointed', () => {
    const spike = polygon('spike', [
      { x: 0, y: 0 },
      { x: 20, y: 0 },
      { x: 20, y: 10 },
      { x: 20, y: 40 },
      { x: 20, y: 10 },
      { x: 0, y: 10 },
    ]);
    const [edge] = placedEdges([spike], identity, { ...opening, corners: 'round' });
    const top = Array.from(edge!.y).reduce(
      (most, y, i) => (y === 40 ? Math.max(most, edge!.normalY[i]!) : most),
      0,
    );
    expect(top).toBeGreaterThan(1 - 2.5e-4);
  });
});

describe('how closely curves are sampled', () => {
  const curves: Record<string, Segment[]> = {
    leaf: [...leafPath({ x: 0, y: 0 }, { x: 60, y: 20 }, 12).segments],
    circle: [...circlePath({ x: 3, y: 4 }, 15).segments],
    ellipse: [
      {
        kind: 'elliptical-arc',
        centre: { x: 0, y: 0 },
        u: { x: 40, y: 5 },
        v: { x: -1, y: 4 },
        start: 0.3,
        sweep: 2 * Math.PI,
      },
    ],
    wave: [
      {
        kind: 'cubic',
        from: { x: 0, y: 0 },
        control1: { x: 30, y: 40 },
        control2: { x: 10, y: -40 },
        to: { x: 40, y: 0 },
      },
      { kind: 'line', from: { x: 40, y: 0 }, to: { x: 20, y: 60 } },
      { kind: 'line', from: { x: 20, y: 60 }, to: { x: 0, y: 0 } },
    ],
    cusp: [
      {
        kind: 'cubic',
        from: { x: 0, y: 0 },
        control1: { x: 40, y: 40 },
        control2: { x: 0, y: 40 },
        to: { x: 40, y: 0 },
      },
      { kind: 'line', from: { x: 40, y: 0 }, to: { x: 0, y: 0 } },
    ],
    'half-flat': [
      {
        kind: 'cubic',
        from: { x: 0, y: 0 },
        control1: { x: 0, y: 0 },
        control2: { x: 30, y: 20 },
        to: { x: 40, y: 0 },
      },
      { kind: 'line', from: { x: 40, y: 0 }, to: { x: 0, y: 0 } },
    ],
  };

  test.each(Object.keys(curves))('%s: no displacement is understated by more than 5e-4', (name) => {
    const segments = curves[name]!;
    const [edge] = placedEdges([shapeOf(name, [closedPath(segments)])], rotation(0.4), {
      ...opening,
      corners: 'round',
    });
    const turn = rotation(0.4);
    const middle = { x: 20, y: 10 };
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 6.28, noNaN: true }),
        fc.double({ min: -0.02, max: 0.02, noNaN: true }),
        (angle, t) => {
          const field = (x: number, y: number) => ({
            x: Math.cos(angle) - t * (y - middle.y),
            y: Math.sin(angle) + t * (x - middle.x),
          });
          let sampled = Number.NEGATIVE_INFINITY;
          for (let i = 0; i < edge!.x.length; i++) {
            const d = field(edge!.x[i]!, edge!.y[i]!);
            sampled = Math.max(sampled, edge!.normalX[i]! * d.x + edge!.normalY[i]! * d.y);
          }
          // Dense normals on the side of the nearest sample.
          for (const s of segments) {
            for (let k = 1; k < 400; k++) {
              const p = positionAt(s, k / 400);
              const v = derivativeAt(s, k / 400);
              const size = Math.hypot(v.x, v.y);
              if (size < 1e-9) continue;
              const x = turn[0] * p.x + turn[2] * p.y;
              const y = turn[1] * p.x + turn[3] * p.y;
              const n = {
                x: (turn[0] * v.y - turn[2] * v.x) / size,
                y: (turn[1] * v.y - turn[3] * v.x) / size,
              };
              const d = field(x, y);
              let nearest = 0;
              let least = Number.POSITIVE_INFINITY;
              for (let i = 0; i < edge!.x.length; i++) {
                const away = (edge!.x[i]! - x) ** 2 + (edge!.y[i]! - y) ** 2;
                const along = Math.abs(edge!.normalX[i]! * n.x + edge!.normalY[i]! * n.y);
                if (along > 0.99 && away < least) {
                  least = away;
                  nearest = i;
                }
              }
              const side = Math.sign(edge!.normalX[nearest]! * n.x + edge!.normalY[nearest]! * n.y);
              expect(side * (n.x * d.x + n.y * d.y)).toBeLessThanOrEqual(sampled * (1 + 5e-4));
            }
          }
        },
      ),
      { seed: 20261125, numRuns: 8 },
    );
  });

  test('a smooth curve gets no more points than its turn asks for', () => {
    const [edge] = placedEdges([circle('c', { x: 0, y: 0 }, 100)], identity, opening);
    expect(edge!.x.length).toBeLessThanOrEqual(Math.ceil((2 * Math.PI) / largestTurn) + 2);
  });
});
