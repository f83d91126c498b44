import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { cutOpenings } from '../../src/cut/cut.js';
import { identity, type Matrix, mirrorX, rotation } from '../../src/geometry/affine.js';
import { derivativeAt, positionAt, reversed, type Segment } from '../../src/geometry/curve.js';
import { isInside } from '../../src/geometry/rings/polygon-of-path.js';
import { type Edge, type EdgeSettings, largestTurn, placedEdges } from '../../src/verdict/edges/edge.js';
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

  test('an inlay is set back the other way', () => {
    const shapes = [circle('c', { x: 0, y: 0 }, 10)];
    const [out] = placedEdges(shapes, identity, opening);
    const [back] = placedEdges(shapes, identity, { ...opening, kind: 'inlay' });
    expect(Array.from(back!.normalX)).toEqual(Array.from(out!.normalX, (x) => -x + 0));
  });

  /** `x,y>nx,ny` at the middle of each side of a polygon of lines, rounded. */
  const sidesOf = (edges: readonly ReturnType<typeof placedEdges>[number][]) =>
    edges.map((e) => {
      const sides = new Set<string>();
      for (let i = 0; i + 1 < e.x.length; i += 2) {
        const middle = [(e.x[i]! + e.x[i + 1]!) / 2, (e.y[i]! + e.y[i + 1]!) / 2];
        const normal = [e.normalX[i]!, e.normalY[i]!];
        sides.add(
          `${middle.map((v) => Number(v.toFixed(3)) + 0)}>${normal.map((v) => Number(v.toFixed(2)) + 0)}`,
        );
      }
      return [...sides].sort();
    });

  test('a figure of eight is two openings that meet in a point: each side faces away from its own lobe', () => {
    const eight = polygon('eight', [
      { x: 0, y: 0 },
      { x: 40, y: 30 },
      { x: 40, y: 0 },
      { x: 0, y: 30 },
    ]);
    expect(sidesOf(placedEdges([eight], identity, opening))).toEqual([
      [
        '0,15>-1,0',
        '10,22.5>0.6,0.8',
        '10,7.5>0.6,-0.8',
        '30,22.5>-0.6,0.8',
        '30,7.5>-0.6,-0.8',
        '40,15>1,0',
      ],
    ]);
  });

  test('a loop that a path makes within itself is part of the opening, not an island', () => {
    const looped = polygon('loop', [
      { x: 0, y: 0 },
      { x: 60, y: 0 },
      { x: 60, y: 40 },
      { x: 20, y: 40 },
      { x: 20, y: 10 },
      { x: 40, y: 10 },
      { x: 40, y: 30 },
      { x: 0, y: 30 },
    ]);
    const [sides] = sidesOf(placedEdges([looped], identity, opening));
    expect(sides).toEqual(['0,15>-1,0', '10,30>0,1', '20,35>-1,0', '30,0>0,-1', '40,40>0,1', '60,20>1,0']);
  });

  test('an edge within another opening is none; what is left belongs to the opening it was drawn as', () => {
    const left = rectangle('left', 0, 0, 40, 20);
    const right = rectangle('right', 30, 5, 40, 10);
    const inner = rectangle('inner', 32, 6, 3, 3);
    const [a, b, c] = placedEdges([left, right, inner], identity, opening);
    expect(sidesOf([a!])).toEqual([['0,10>-1,0', '20,0>0,-1', '20,20>0,1', '40,17.5>1,0', '40,2.5>1,0']]);
    expect(sidesOf([b!])).toEqual([['55,15>0,1', '55,5>0,-1', '70,10>1,0']]);
    // Drawn within both of them, so it is material again for neither.
    expect(c!.x.length).toBe(0);
  });

  test('an opening drawn twice has one edge, facing out', () => {
    const [a, b] = placedEdges(
      [rectangle('a', 0, 0, 40, 20), rectangle('b', 0, 0, 40, 20)],
      identity,
      opening,
    );
    expect(sidesOf([a!])).toEqual([['0,10>-1,0', '20,0>0,-1', '20,20>0,1', '40,10>1,0']]);
    expect(b!.x.length).toBe(0);
  });

  test('an island that touches its opening, or overlaps another island, stands out of what is left', () => {
    const shape = shapeOf('window', [
      polygonPath(rectanglePoints(0, 0, 100, 60)),
      polygonPath(rectanglePoints(0, 20, 30, 20)),
      polygonPath(rectanglePoints(50, 20, 20, 20)),
      polygonPath(rectanglePoints(60, 25, 20, 5)),
    ]);
    const [sides] = sidesOf(placedEdges([shape], identity, opening));
    expect(sides).toContain('30,30>-1,0');
    expect(sides).toContain('0,10>-1,0');
    expect(sides).not.toContain('0,30>-1,0');
    expect(sides).toContain('80,27.5>-1,0');
    expect(sides).not.toContain('60,27.5>1,0');
  });

  test('what the cut takes for material lies on the side the constraints face, and on the other what it takes away', () => {
    const shapes = [
      polygon('eight', [
        { x: 0, y: 0 },
        { x: 40, y: 30 },
        { x: 40, y: 0 },
        { x: 0, y: 30 },
      ]),
      rectangle('left', 60, 0, 40, 20),
      circle('right', { x: 105, y: 10 }, 8),
      circle('island', { x: 75, y: 10 }, 4),
      shapeOf('leaf', [leafPath({ x: 0, y: 60 }, { x: 60, y: 75 }, 12)]),
      circle('bite', { x: 30, y: 62 }, 5),
    ];
    for (const kind of ['opening', 'inlay'] as const) {
      // A hair of clearance: the paths are the existing edges.
      const { paths } = cutOpenings({
        openings: shapes,
        outline: [],
        toBed: identity,
        toMachine: identity,
        pierced: { kerf: 0, compensated: true },
        cut: {
          kind,
          clearance: 1e-4,
          kerf: 0,
          corners: 'round',
          mitreLimit: 4,
          tolerance: 0.005,
          smallestLand: 0,
          apply: 'full',
        },
      });
      const rings = paths.map((p) =>
        p.segments.flatMap((s) => Array.from({ length: 80 }, (_, i) => positionAt(s, i / 80))),
      );
      const isRemoved = (x: number, y: number) =>
        rings.filter((ring) => isInside({ x, y }, ring)).length % 2 === 1;
      const towards = kind === 'opening' ? 0.05 : -0.05;
      let checked = 0;
      for (const e of placedEdges(shapes, identity, { ...opening, kind })) {
        for (let i = 0; i + 1 < e.x.length; i++) {
          const nx = e.normalX[i]!;
          const ny = e.normalY[i]!;
          const j = i + 1;
          const along = nx * (e.x[j]! - e.x[i]!) + ny * (e.y[j]! - e.y[i]!);
          if (nx * e.normalX[j]! + ny * e.normalY[j]! < 0.998 || Math.abs(along) > 0.05) continue;
          const x = (e.x[i]! + e.x[j]!) / 2;
          const y = (e.y[i]! + e.y[j]!) / 2;
          expect(isRemoved(x + towards * nx, y + towards * ny)).toBe(false);
          expect(isRemoved(x - towards * nx, y - towards * ny)).toBe(true);
          checked++;
        }
      }
      expect(checked).toBeGreaterThan(150);
    }
  });

  test('pierced edges without kerf correction lie half a kerf outside the drawn ones, for both kinds of cut', () => {
    for (const kind of ['opening', 'inlay'] as const) {
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

  test('a spike without width encloses nothing and is no edge, as in the cut', () => {
    const spike = polygon('spike', [
      { x: 0, y: 0 },
      { x: 20, y: 0 },
      { x: 20, y: 10 },
      { x: 20, y: 40 },
      { x: 20, y: 10 },
      { x: 0, y: 10 },
    ]);
    const [edge] = placedEdges([spike], identity, { ...opening, corners: 'round' });
    expect(Math.max(...edge!.y)).toBeCloseTo(10, 9);
    expect(reach(edge!, 0, 1)).toBeCloseTo(1, 9);
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
