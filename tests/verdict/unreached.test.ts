/** Tips and necks that the beam does not get into, held against the buffers of another library. */
import { describe, expect, test } from 'vitest';
import type { Path, Segment } from '../../src/geometry/curve.js';
import type { Point } from '../../src/geometry/point.js';
import {
  areaOf,
  exactRoom,
  existingOf,
  foretoldRoom,
  pointsAlong,
  producedOf,
  type Tooling,
} from './exact-room.js';
import { checkOf } from './jobs.js';
import { closedPath, leafPath, polygonPath, shapeOf } from './shapes.js';

/** A drop: a tip to the right of the given half angle and radius, and a round back of 5 mm radius. */
const drop = (halfAngle: number, radius: number, at: Point = { x: 0, y: 0 }): Path => {
  const back = 5;
  const apart = (back - radius) / Math.sin(halfAngle);
  const on = (x: number, r: number, angle: number): Point => ({
    x: at.x + x + r * Math.cos(angle),
    y: at.y + r * Math.sin(angle),
  });
  const up = Math.PI / 2 - halfAngle;
  return closedPath([
    { kind: 'arc', centre: { x: at.x + apart, y: at.y }, radius, start: -up, sweep: 2 * up },
    { kind: 'line', from: on(apart, radius, up), to: on(0, back, up) },
    { kind: 'arc', centre: at, radius: back, start: up, sweep: 2 * (Math.PI - up) },
    { kind: 'line', from: on(0, back, -up), to: on(apart, radius, -up) },
  ]);
};

const deg = Math.PI / 180;

/** A tip in four facets, none longer than the beam is thick. */
const facetted = polygonPath([
  { x: 0, y: -3 },
  { x: 9.9, y: -0.05 },
  { x: 9.97, y: -0.02 },
  { x: 9.97, y: 0.02 },
  { x: 9.9, y: 0.05 },
  { x: 0, y: 3 },
]);

/** A rectangle into which a tip of the material reaches from the right. */
const notched = (halfAngle: number, radius: number): Path => {
  const up = Math.PI / 2 - halfAngle;
  const tip = { x: 8, y: 0 };
  const on = (sign: number): Point => ({
    x: tip.x - radius * Math.cos(up),
    y: sign * radius * Math.sin(up),
  });
  const reach = (20 - on(1).x) * Math.tan(halfAngle) + on(1).y;
  return closedPath([
    ...lines(
      { x: 20, y: reach },
      { x: 20, y: 9 },
      { x: 0, y: 9 },
      { x: 0, y: -9 },
      { x: 20, y: -9 },
      { x: 20, y: -reach },
      on(-1),
    ),
    { kind: 'arc', centre: tip, radius, start: Math.PI + up, sweep: -2 * up },
    ...lines(on(1), { x: 20, y: reach }),
  ]);
};

const lines = (...points: readonly Point[]): Segment[] =>
  points.slice(1).map((to, i) => ({ kind: 'line', from: points[i]!, to }));

const laser = { kind: 'opening', corners: 'mitre', clearance: 0.1, beam: 0.15 } as const;
const bit = { kind: 'opening', corners: 'mitre', clearance: 0.4, beam: 1 } as const;
const whole = { piercing: 0, compensated: true } as const;

const cases: readonly (readonly [string, Path, Tooling])[] = [
  ['a tip of 0.03 mm radius', drop(12 * deg, 0.03), { ...laser, ...whole }],
  ['a tip that the beam just gets into', drop(12 * deg, 0.052), { ...laser, ...whole }],
  ['a tip that sticks out', drop(12 * deg, 0.01), { ...laser, ...whole }],
  ['a blunt tip', drop(40 * deg, 0.01), { ...laser, ...whole, corners: 'round' }],
  ['the tips of a leaf', leafPath({ x: 0, y: 0 }, { x: 20, y: 3 }, 9), { ...laser, ...whole }],
  ['a tip in facets', facetted, { ...laser, ...whole }],
  ['a tip pierced on the line', drop(12 * deg, 0.02), { ...laser, piercing: 0.02, compensated: false }],
  ['a tip pierced with a thin beam', drop(20 * deg, 0.01), { ...laser, piercing: 0.02, compensated: true }],
  ['a router bit at a round tip', drop(30 * deg, 0.5), { ...bit, ...whole }],
  ['a bit after a thinner one', drop(30 * deg, 0.2), { ...bit, piercing: 0.3, compensated: true }],
  ['an inlay round a tip of the material', notched(20 * deg, 0.01), { ...laser, ...whole, kind: 'inlay' }],
  [
    'an inlay where the tip was pierced on the line',
    notched(20 * deg, 0.01),
    { ...laser, kind: 'inlay', piercing: 0.02, compensated: false },
  ],
];

describe('where the beam is thicker than twice the clearance, the room is what it really leaves', () => {
  const roomsOf = (path: Path, c: Tooling) => {
    const drawn = areaOf(pointsAlong(path));
    const existing = existingOf(drawn, c);
    const produced = producedOf(drawn, c);
    return (angle: number): { told: number; exact: number } => ({
      told: foretoldRoom(path, c, angle),
      exact: exactRoom(existing, produced, c, angle),
    });
  };

  test.each(cases)('%s', (_, path, c) => {
    const roomAt = roomsOf(path, c);
    for (const angle of [0, 0.2, -0.5, 1, Math.PI]) {
      const { told, exact } = roomAt(angle);
      expect(Math.abs(told - exact), `${angle}: ${told}, ${exact}`).toBeLessThan(1e-3);
    }
  });

  test('a tip that the same bit left round is not called tighter than the clearance', () => {
    const { told, exact } = roomsOf(drop(30 * deg, 0.2), { ...bit, piercing: 1, compensated: true })(0);
    expect(told).toBeCloseTo(0.4, 3);
    expect(exact).toBeGreaterThan(told);
  });
});

describe('a job whose beam is thicker than twice the clearance', () => {
  const thick = (paths: readonly Path[], cut = { clearance: 0.4, kerf: 2 }) =>
    checkOf({
      openings: paths.map((path, i) => shapeOf(`leaf-${i + 1}`, [path])),
      cut,
      options: { readingSd: 0.03 },
    });
  const at = (x: number): Point => ({ x, y: 200 });

  test('does not fit where a curved tip sticks out of what the beam leaves, and says which', () => {
    const check = thick([drop(30 * deg, 3, at(200)), drop(12 * deg, 0.2, at(300))]);
    expect(check.verdict).toBe('does-not-fit');
    expect(check.openings.map((o) => o.verdict)).toEqual(['fits', 'does-not-fit']);
    expect(check.explanation).toContain('too close at leaf-2, because the beam is too thick');
    // What is said to be needed is enough.
    const needed = check.neededClearance!;
    expect(needed).toBeGreaterThan(0.4);
    const again = thick([drop(12 * deg, 0.2, at(300))], { clearance: needed + 0.001, kerf: 2 });
    expect(again.verdict).toBe('fits');
  });

  test('does not fit where the beam does not get through a neck, or into an opening at all', () => {
    const neck = polygonPath([
      { x: 200, y: 200 },
      { x: 210, y: 200 },
      { x: 210, y: 204.5 },
      { x: 230, y: 204.5 },
      { x: 230, y: 200 },
      { x: 240, y: 200 },
      { x: 240, y: 210 },
      { x: 230, y: 210 },
      { x: 230, y: 205.5 },
      { x: 210, y: 205.5 },
      { x: 210, y: 210 },
      { x: 200, y: 210 },
    ]);
    expect(thick([neck], { clearance: 0.4, kerf: 0.6 }).verdict).toBe('fits');
    expect(thick([neck]).verdict).toBe('does-not-fit');
    const pin = closedPath([{ kind: 'arc', centre: at(300), radius: 0.5, start: 0, sweep: 2 * Math.PI }]);
    expect(thick([pin, drop(30 * deg, 3, at(200))]).openings.map((o) => o.verdict)).toEqual([
      'does-not-fit',
      'fits',
    ]);
    expect(thick([pin]).explanation).toMatch(/comes 1\.\d+ mm too close/);
  });
});
