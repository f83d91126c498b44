import { describe, expect, it } from 'vitest';
import type { Arc, Line } from '../../src/geometry/curve.js';
import { InputError } from '../../src/job/messages.js';
import { placesAlong, type Scan, scanPicture, usualSmallest } from '../../src/scan/scan.js';
import { segmentsOf } from '../../src/scan/scan-drawing.js';
import {
  circleLoop,
  type Loop,
  polygonLoop,
  type Rendering,
  rendered,
  slotLoop,
  turnedLoop,
} from './rendered.js';

/** 600 to the inch, to the metre as a PNG states it. */
const density = 23.622;
const scanOf = (loops: readonly Loop[], how: Partial<Rendering> = {}, settings = {}): Scan => {
  const all = { width: 24, height: 20, density, ...how };
  const picture = rendered(loops, all);
  const pixel = { x: 1 / all.density, y: 1 / (all.densityY ?? all.density) };
  return scanPicture(picture, pixel, { smallest: usualSmallest, ...settings }, 'panel.png');
};

const corners = (segments: readonly (Line | Arc)[]): [number, number][] =>
  segments.map((s) =>
    s.kind === 'line'
      ? [s.from.x, s.from.y]
      : [s.centre.x + s.radius * Math.cos(s.start), s.centre.y + s.radius * Math.sin(s.start)],
  );

const nearest = (places: readonly (readonly [number, number])[], [x, y]: readonly [number, number]): number =>
  Math.min(...places.map(([px, py]) => Math.hypot(px - x, py - y)));

describe('openings from a scan at 600 to the inch', () => {
  it('a circle comes back as a circle, its diameter within 0.01 mm', () => {
    const { edges } = scanOf([circleLoop(12, 10, 6.3)]);
    expect(edges.map(({ id, role, outline }) => [id, role, outline.kind])).toEqual([
      ['opening-1', 'opening', 'circle'],
    ]);
    const [circle] = segmentsOf(scanOf([circleLoop(12, 10, 6.3)]), edges[0]!) as [Arc];
    expect(2 * circle.radius).toBeCloseTo(12.6, 2);
    expect(Math.hypot(circle.centre.x - 12, circle.centre.y - 10)).toBeLessThan(0.003);
  });

  it('a picture without noise has no more lines and arcs than one with noise', () => {
    const square = (x: number, y: number): Loop =>
      polygonLoop([x, y], [x + 30, y], [x + 30, y + 20], [x, y + 20]);
    const loops = [square(10, 10), square(10, 50), square(10, 90), circleLoop(80, 70, 30)];
    const how = { width: 120, height: 140, density: 7.874, texture: 0, falls: 0, blur: 0.8 };
    const sides = (noise: number): number[] =>
      scanOf(loops, { ...how, noise })
        .edges.map(({ outline }) => (outline.kind === 'circle' ? 1 : outline.smooth.length))
        .sort((a, b) => a - b);
    expect(sides(0)).toEqual([1, 4, 4, 4]);
    expect(sides(4)).toEqual([1, 4, 4, 4]);
  });

  it('a small hole and one seen against the light are as large as they are', () => {
    const dark = scanOf([circleLoop(5, 5, 0.5), circleLoop(15, 12, 1.2)]);
    const light = scanOf([circleLoop(5, 5, 0.5), circleLoop(15, 12, 1.2)], { panel: 40, opening: 230 });
    expect([dark.openings, light.openings]).toEqual(['dark', 'light']);
    for (const scan of [dark, light]) {
      const radii = scan.edges.map((edge) => (segmentsOf(scan, edge)[0] as Arc).radius).sort((a, b) => a - b);
      expect(Math.abs(radii[0]! - 0.5)).toBeLessThan(0.005);
      expect(Math.abs(radii[1]! - 1.2)).toBeLessThan(0.005);
    }
  });

  it('a star keeps its ten straight sides and its points, which the blur has taken off', () => {
    const star = turnedLoop(
      polygonLoop(
        ...Array.from({ length: 10 }, (_, i): [number, number] => {
          const r = i % 2 === 0 ? 8 : 4;
          return [12 + r * Math.cos((i * Math.PI) / 5), 10 + r * Math.sin((i * Math.PI) / 5)];
        }),
      ),
      0.3,
      12,
      10,
    );
    const scan = scanOf([star]);
    const segments = segmentsOf(scan, scan.edges[0]!);
    expect(segments.map(({ kind }) => kind)).toEqual(Array.from({ length: 10 }, () => 'line'));
    for (const [x, y] of star.corners) expect(nearest(corners(segments), [x, y])).toBeLessThan(0.012);
  });

  it('a slot is two lines and two half circles that meet smoothly', () => {
    const scan = scanOf([turnedLoop(slotLoop(6, 10, 17, 10, 1.5), 17, 12, 10)]);
    const segments = segmentsOf(scan, scan.edges[0]!);
    expect(segments.map(({ kind }) => kind).sort()).toEqual(['arc', 'arc', 'line', 'line']);
    for (const s of segments) {
      if (s.kind !== 'arc') continue;
      expect(Math.abs(s.radius - 1.5)).toBeLessThan(0.006);
      expect(Math.abs(Math.abs(s.sweep) - Math.PI)).toBeLessThan(0.01);
    }
  });

  it('a small rounding is an arc and no corner', () => {
    // Corners of a rectangle rounded with 0.6 mm: tan(quarter turn / 4) is the bulge of a quarter.
    const b = Math.tan(Math.PI / 8);
    const scan = scanOf([
      {
        corners: [
          [5.6, 5],
          [18.4, 5, b],
          [19, 5.6],
          [19, 14.4, b],
          [18.4, 15],
          [5.6, 15, b],
          [5, 14.4],
          [5, 5.6, b],
        ],
      },
    ]);
    const arcs = segmentsOf(scan, scan.edges[0]!).filter((s): s is Arc => s.kind === 'arc');
    expect(arcs).toHaveLength(4);
    for (const { radius } of arcs) expect(Math.abs(radius - 0.6)).toBeLessThan(0.02);
  });

  it('a sharp tip of 14 degrees is where its sides cross', () => {
    const tip = turnedLoop(polygonLoop([4, 10], [20, 8.04], [20, 11.96]), 40, 12, 10);
    const scan = scanOf([tip]);
    const segments = segmentsOf(scan, scan.edges[0]!);
    expect(segments).toHaveLength(3);
    for (const [x, y] of tip.corners) expect(nearest(corners(segments), [x, y])).toBeLessThan(0.02);
  });

  it('pixels that are not square change no size', () => {
    const scan = scanOf([circleLoop(12, 10, 7)], { density: 23.6, densityY: 23.9 });
    expect(scan.edges[0]!.outline.kind).toBe('circle');
    expect(Math.abs((segmentsOf(scan, scan.edges[0]!)[0] as Arc).radius - 7)).toBeLessThan(0.003);
  });

  it('16 bits to a level serve as well as 8', () => {
    const scan = scanOf([circleLoop(12, 10, 7)], { deep: true });
    expect(Math.abs((segmentsOf(scan, scan.edges[0]!)[0] as Arc).radius - 7)).toBeLessThan(0.003);
  });

  it('light that falls off to less than half moves no edge', () => {
    const scan = scanOf([circleLoop(5, 5, 3), circleLoop(18, 14, 3)], { falls: 0.55 });
    for (const edge of scan.edges)
      expect(Math.abs((segmentsOf(scan, edge)[0] as Arc).radius - 3)).toBeLessThan(0.004);
  });

  it('the sd it states is the sd there is: over 40 circles the variance is as stated', () => {
    let stated = 0;
    let observed = 0;
    for (let seed = 0; seed < 8; seed += 1) {
      const places = [0, 1, 2, 3, 4].map((i): [number, number, number] => [
        3.5 + 4.2 * i + 0.01 * seed,
        5 + 0.013 * seed + 2 * (i % 2),
        1 + 0.2 * i,
      ]);
      const scan = scanOf(
        places.map(([x, y, r]) => circleLoop(x, y, r)),
        { height: 12, seed },
      );
      expect(scan.edges).toHaveLength(5);
      for (const edge of scan.edges) {
        const { centre, radius } = segmentsOf(scan, edge)[0] as Arc;
        const [x, y, r] = [...places].sort(
          (a, b) =>
            Math.hypot(a[0] - centre.x, a[1] - centre.y) - Math.hypot(b[0] - centre.x, b[1] - centre.y),
        )[0]!;
        // Mean square along the normal: half of the centre's error, and all of the radius's.
        observed += ((x - centre.x) ** 2 + (y - centre.y) ** 2) / 2 + (r - radius) ** 2;
        stated += edge.sd ** 2;
      }
    }
    // 120 degrees of freedom: 95 of 100 lie within a quarter.
    expect(observed / stated).toBeGreaterThan(0.65);
    expect(observed / stated).toBeLessThan(1.4);
  });
});

describe('the walls of a thick panel, seen aslant', () => {
  const loops = [
    circleLoop(5, 5, 3),
    circleLoop(34, 5, 3),
    turnedLoop(slotLoop(4, 14, 10, 14, 2), 5, 7, 14),
    turnedLoop(slotLoop(30, 14, 36, 14, 2), -5, 33, 14),
    polygonLoop([14, 2], [26, 3], [25, 17], [13, 16]),
  ];
  const how = { width: 40, height: 19, wall: { level: 110, share: 0.012 } };

  it('are told from the edge of its face, which is what counts', () => {
    const scan = scanOf(loops, how);
    expect(scan.warnings.map(({ code }) => code)).toContain('walls-seen');
    const radii = scan.edges.flatMap((edge) =>
      segmentsOf(scan, edge).filter((s): s is Arc => s.kind === 'arc'),
    );
    const circles = radii.filter(({ sweep }) => Math.abs(sweep) > 3.5);
    expect(circles.length).toBeGreaterThan(0);
    // The band is up to 0.18 mm wide; a middle level between panel and ground would be off by 0.08 mm.
    for (const [x, y] of [
      [5, 5],
      [34, 5],
    ] as const) {
      const points = scan.edges
        .flatMap((edge) => placesAlong(scan, edge, 0.2))
        .filter((p) => Math.hypot(p.x - x, p.y - y) < 4);
      expect(points.length).toBeGreaterThan(50);
      const away = points.map((p) => Math.hypot(p.x - x, p.y - y) - 3);
      expect(Math.sqrt(away.reduce((sum, d) => sum + d * d, 0) / away.length)).toBeLessThan(0.012);
    }
    expect(scan.edgeSd).toBeGreaterThan(0.002);
  });

  it('are not seen where there are none', () => {
    const { wall: _, ...thin } = how;
    expect(scanOf(loops, thin).warnings.map(({ code }) => code)).not.toContain('walls-seen');
  });
});

describe('what is an opening', () => {
  const sheet = polygonLoop([2, 2], [22, 2], [22, 18], [2, 18]);

  it('a light panel on a dark ground is the outline, and what is dark in it the openings', () => {
    // The ground counts as opening here: an odd number of windings is dark.
    const rim = polygonLoop([-1, -1], [25, -1], [25, 21], [-1, 21]);
    const scan = scanOf([rim, sheet, circleLoop(8, 8, 3), circleLoop(16, 12, 2)]);
    expect(scan.openings).toBe('dark');
    expect(scan.edges.map(({ id, role }) => [id, role])).toEqual([
      ['outline', 'outline'],
      ['opening-1', 'opening'],
      ['opening-2', 'opening'],
    ]);
  });

  it('an island within an opening is told, and an opening within an island', () => {
    const scan = scanOf([circleLoop(12, 10, 8), circleLoop(12, 10, 5), circleLoop(12, 10, 2)]);
    expect(scan.edges.map(({ role }) => role).sort()).toEqual(['island', 'opening', 'opening']);
  });

  it('specks are left out and counted', () => {
    const scan = scanOf([circleLoop(12, 10, 5), circleLoop(2, 2, 0.18), circleLoop(3, 17, 0.2)]);
    expect(scan.edges).toHaveLength(1);
    expect(scan.dropped.specks).toBe(2);
    expect(scanOf([circleLoop(12, 10, 5), circleLoop(2, 2, 0.2)], {}, { smallest: 0.3 }).edges).toHaveLength(
      2,
    );
  });

  it('an opening that reaches out of the picture is left out with a warning', () => {
    const scan = scanOf([circleLoop(12, 10, 5), circleLoop(24, 10, 3)]);
    expect(scan.edges).toHaveLength(1);
    expect(scan.dropped.cutOff).toBe(1);
    expect(scan.warnings.map(({ code }) => code)).toContain('content-left-out');
  });

  it('a word of the caller goes before what the picture looks like', () => {
    const scan = scanOf(
      [polygonLoop([1, 1], [23, 1], [23, 19], [1, 19]), circleLoop(12, 10, 5)],
      {},
      { openings: 'dark' },
    );
    expect(scan.edges.map(({ role }) => role).sort()).toEqual(['island', 'opening']);
  });

  it.each([
    ['nothing but one level', [] as Loop[], /without two levels/],
    ['nothing that is whole', [circleLoop(0, 0, 9)], /lies wholly in the picture/],
    ['nothing but specks', [circleLoop(12, 10, 0.2)], /1 specks smaller than 0.5 mm|without two levels/],
  ])('%s is refused with what to do', (_, loops, message) => {
    let fault: unknown;
    try {
      scanOf(loops, { width: 12, height: 10 });
    } catch (error) {
      fault = error;
    }
    expect(fault).toBeInstanceOf(InputError);
    expect((fault as InputError).message).toMatch(message);
    expect((fault as InputError).next).not.toBe('');
  });
});
