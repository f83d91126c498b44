import { describe, expect, it } from 'vitest';
import { beamOffset, type CutPath, cutOpenings } from '../../src/cut/cut.js';
import type { Arc } from '../../src/geometry/curve.js';
import { sampled } from './deviation.js';
import {
  circle,
  closedCurve,
  cutInput,
  ellipse,
  leaf,
  polygon,
  rectangle,
  roundedRectangle,
  shape,
  star,
  wavyRing,
} from './shapes.js';

const only = <T>(list: readonly T[]): T => {
  expect(list).toHaveLength(1);
  return list[0]!;
};
const kinds = (segments: readonly { readonly kind: string }[]): string =>
  segments.map((s) => s.kind).join(' ');

describe('known values', () => {
  // Steiner's formula: area A + P r + pi r^2, perimeter P + 2 pi r. Lines and arcs are exact, so only rounding remains.
  it('a rectangle 100 x 60 grown by 2 with round corners (Steiner) has area 6652.56637 and perimeter 332.56637', () => {
    const path = only(cutOpenings(cutInput([shape('a', rectangle(0, 0, 100, 60))], { clearance: 2 })).paths);
    expect(path.area).toBeCloseTo(6652.56637, 4);
    expect(path.length).toBeCloseTo(332.56637, 4);
    expect(path.area).toBeCloseTo(6000 + 320 * 2 + 4 * Math.PI, 8);
    expect(path.length).toBeCloseTo(320 + 4 * Math.PI, 9);
  });

  it('the same rectangle mitred has area 6656, and shrunk by 2 area 5376', () => {
    const panel = [shape('a', rectangle(0, 0, 100, 60))];
    const grown = only(cutOpenings(cutInput(panel, { clearance: 2, corners: 'mitre' })).paths);
    expect(grown.area).toBeCloseTo(6656, 8);
    const shrunk = only(cutOpenings(cutInput(panel, { clearance: 2, kind: 'inlay' })).paths);
    expect(shrunk.area).toBeCloseTo(5376, 8);
  });

  it('an ellipse with semi-axes 5 and 3 grown by 1 has perimeter 31.810184 and area 75.792481', () => {
    const path = only(cutOpenings(cutInput([shape('a', ellipse(0, 0, 5, 3))], { clearance: 1 })).paths);
    // A curve within t of the true one: the area is off by less than P t. The error swings to both sides; a tenth is left.
    const tolerance = 0.005;
    expect(Math.abs(path.area - 75.792481)).toBeLessThan(31.81 * tolerance * 0.1);
    // A chain of arcs that swings by t within pieces of length s is longer by about (t/s)^2 times its length.
    expect(Math.abs(path.length - 31.810184)).toBeLessThan(31.81 * tolerance * 0.1);
  });

  it('Steiner holds for a regular polygon of any number of corners', () => {
    for (const n of [3, 5, 8, 17]) {
      const corners = Array.from({ length: n }, (_, i): [number, number] => [
        9 * Math.cos((2 * Math.PI * i) / n),
        9 * Math.sin((2 * Math.PI * i) / n),
      ]);
      const perimeter = 2 * n * 9 * Math.sin(Math.PI / n);
      const area = (n / 2) * 81 * Math.sin((2 * Math.PI) / n);
      const path = only(cutOpenings(cutInput([shape('a', polygon(...corners))], { clearance: 1.3 })).paths);
      expect(path.area).toBeCloseTo(area + perimeter * 1.3 + Math.PI * 1.69, 8);
      expect(path.length).toBeCloseTo(perimeter + 2.6 * Math.PI, 8);
    }
  });

  it('the mitre runs to 1/sin(angle/2) times the offset: 2 at 60 degrees, 1.41421 at 90 (W3C SVG, stroke-miterlimit)', () => {
    for (const [degrees, ratio] of [
      [60, 2],
      [90, Math.SQRT2],
      [120, 2 / Math.sqrt(3)],
    ] as const) {
      const half = ((degrees / 2) * Math.PI) / 180;
      const wedge = polygon([0, 0], [20, -20 * Math.tan(half)], [20, 20 * Math.tan(half)]);
      const cut = cutInput([shape('a', wedge)], { corners: 'mitre', clearance: 0.5, mitreLimit: 3 });
      const path = only(cutOpenings(cut).paths);
      expect(-path.box.minX).toBeCloseTo(0.5 * ratio, 9);
    }
  });

  it('at a limit of 4 an angle below 28.955 degrees is rounded, and one above it is not', () => {
    for (const [degrees, far] of [
      [28.9, 0.5],
      [29.0, 0.5 / Math.sin((14.5 * Math.PI) / 180)],
    ] as const) {
      const half = ((degrees / 2) * Math.PI) / 180;
      const wedge = polygon([0, 0], [20, -20 * Math.tan(half)], [20, 20 * Math.tan(half)]);
      const path = only(
        cutOpenings(cutInput([shape('a', wedge)], { corners: 'mitre', clearance: 0.5 })).paths,
      );
      expect(-path.box.minX).toBeCloseTo(far, 9);
    }
  });

  it('clearance, kerf and the kerf of the piercing add up', () => {
    const job = (kind: 'opening' | 'inlay', compensated: boolean) => {
      const input = cutInput(
        [],
        { kind, clearance: 0.5, kerf: 0.12 },
        { pierced: { kerf: 0.18, compensated } },
      );
      return beamOffset(input.pierced, input.cut);
    };
    expect(job('opening', true)).toBeCloseTo(0.44, 12);
    expect(job('opening', false)).toBeCloseTo(0.53, 12);
    expect(job('inlay', true)).toBeCloseTo(-0.44, 12);
    expect(job('inlay', false)).toBeCloseTo(-0.35, 12);
  });
});

describe('edges stay what they were', () => {
  it('a mitred rectangle comes out as four lines, also with needless points on its edges', () => {
    const plain = only(
      cutOpenings(cutInput([shape('a', rectangle(0, 0, 30, 20))], { corners: 'mitre' })).paths,
    );
    expect(kinds(plain.segments)).toBe('line line line line');
    const pointed = polygon([0, 0], [7, 0], [7.3, 0], [30, 0], [30, 20], [12, 20], [0, 20], [0, 9]);
    const path = only(cutOpenings(cutInput([shape('a', pointed)], { corners: 'mitre' })).paths);
    expect(kinds(path.segments)).toBe('line line line line');
  });

  it('turned by any angle they are still single lines', () => {
    const pointed = polygon([0, 0], [7, 0], [7.3, 0], [30, 0], [30, 20], [12, 20], [0, 20], [0, 9]);
    for (const angle of [0.1, 0.7, 1.3, 2.9, 4.4]) {
      const c = Math.cos(angle);
      const s = Math.sin(angle);
      const input = cutInput([shape('a', pointed)], { corners: 'mitre' }, { toBed: [c, s, -s, c, 500, 300] });
      expect(kinds(only(cutOpenings(input).paths).segments)).toBe('line line line line');
    }
  });

  it('a rounded corner of a rectangle is one arc', () => {
    const path = only(cutOpenings(cutInput([shape('a', rectangle(0, 0, 30, 20))])).paths);
    expect(kinds(path.segments).replace(/^arc line (.*)$/, '$1 arc line')).toMatch(
      /^(line arc ?){4}$|^(arc line ?){4}$/,
    );
    expect(path.segments).toHaveLength(8);
  });

  it('a circle comes out as arcs of one circle', () => {
    for (const kind of ['opening', 'inlay'] as const) {
      const path = only(cutOpenings(cutInput([shape('a', circle(12, 7, 5))], { kind })).paths);
      for (const s of path.segments) {
        expect(s.kind).toBe('arc');
        const { centre, radius } = s as Arc;
        expect(Math.hypot(centre.x - 12, centre.y - 7)).toBeLessThan(1e-9);
        expect(radius).toBeCloseTo(kind === 'opening' ? 5.5 : 4.5, 9);
      }
      expect(path.segments.reduce((sum, s) => sum + (s as Arc).sweep, 0)).toBeCloseTo(2 * Math.PI, 9);
    }
  });

  it('a rounded rectangle stays four lines and four arcs, until the radius is used up', () => {
    const panel = [shape('a', roundedRectangle(0, 0, 30, 16, 3))];
    for (const [kind, clearance] of [
      ['opening', 0.5],
      ['opening', 4],
      ['inlay', 2],
    ] as const) {
      const path = only(cutOpenings(cutInput(panel, { kind, clearance, corners: 'mitre' })).paths);
      expect(path.segments.filter((s) => s.kind === 'line')).toHaveLength(4);
      expect(path.segments.filter((s) => s.kind === 'arc')).toHaveLength(4);
    }
    const used = only(cutOpenings(cutInput(panel, { kind: 'inlay', clearance: 3.5 })).paths);
    expect(kinds(used.segments)).toBe('line line line line');
  });

  it('each point of a star is one vertex', () => {
    const drawn = [shape('a', star(0, 0, 5, 20, 9))];
    const grown = only(cutOpenings(cutInput(drawn, { corners: 'mitre' })).paths);
    expect(kinds(grown.segments)).toBe(Array(10).fill('line').join(' '));
    const shrunk = only(cutOpenings(cutInput(drawn, { corners: 'mitre', kind: 'inlay' })).paths);
    expect(kinds(shrunk.segments)).toBe(Array(10).fill('line').join(' '));
  });
});

/** Turns (radians) between neighbouring segments. */
const turns = (segments: CutPath['segments']): number[] =>
  segments.map((s, i) => {
    const next = segments[(i + 1) % segments.length]!;
    const heading = (t: typeof s, end: boolean): number =>
      t.kind === 'line'
        ? Math.atan2(t.to.y - t.from.y, t.to.x - t.from.x)
        : t.start + (end ? t.sweep : 0) + (Math.sign(t.sweep) * Math.PI) / 2;
    const turn = heading(next, false) - heading(s, true);
    return Math.atan2(Math.sin(turn), Math.cos(turn));
  });

const segmentLength = (s: CutPath['segments'][number]): number =>
  s.kind === 'line' ? Math.hypot(s.to.x - s.from.x, s.to.y - s.from.y) : s.radius * Math.abs(s.sweep);

describe('a smooth edge stays smooth', () => {
  /** All of them with a radius of curvature of at least a millimetre everywhere, also once they are grown. */
  const smooth = [
    ...Array.from({ length: 12 }, (_, i) => wavyRing(0, 0, i * 0.7, 1 + (i % 3) * 0.4)),
    ...Array.from({ length: 12 }, (_, i) => ellipse(0, 0, 3 + i, 2.2 + i * 0.4, i)),
  ];

  it.each([0.005, 0.0005])(
    'within %s mm: small turns between two arcs, no segment shorter than 1e-4 mm',
    (tolerance) => {
      let largest = 0;
      let shortest = Number.POSITIVE_INFINITY;
      for (const opening of smooth) {
        for (const clearance of [0.1, 0.4]) {
          const input = cutInput([shape('a', opening)], { clearance, tolerance });
          for (const path of cutOpenings(input).paths) {
            largest = Math.max(largest, ...turns(path.segments).map(Math.abs));
            shortest = Math.min(shortest, ...path.segments.map(segmentLength));
          }
        }
      }
      // Two arcs of length c within t of a smooth curve turn by no more than about 8 t / c where they meet.
      expect((largest * 180) / Math.PI).toBeLessThan(tolerance === 0.005 ? 4.5 : 1);
      expect(shortest).toBeGreaterThan(1e-4);
    },
  );

  it('and takes far fewer segments than a flattened ring within the same tolerance', () => {
    for (const tolerance of [0.005, 0.0005]) {
      const wave = only(cutOpenings(cutInput([shape('a', wavyRing(0, 0, 0.3))], { tolerance })).paths);
      // A chord of length c on a curve of radius r lies c^2/(8r) off: at least this many chords for the mean radius.
      const chords = wave.length / Math.sqrt(8 * (wave.length / (2 * Math.PI)) * tolerance);
      expect(wave.segments.length).toBeLessThan(chords * 1.0);
    }
  });

  it('a curve drawn in many cubics comes out in no more segments than one drawn in few', () => {
    const radius = (t: number): number => 20 + 3 * Math.sin(3 * t);
    const count = (pieces: number): number =>
      only(cutOpenings(cutInput([shape('a', closedCurve(0, 0, pieces, radius))])).paths).segments.length;
    expect(count(1200)).toBeLessThan(count(30) * 1.3);
  });

  it('a flattened leaf is fitted with arcs again', () => {
    const points = sampled(
      cutOpenings(cutInput([shape('a', leaf(0, 0, 40, 9))], { clearance: 1e-3 })).paths[0]!.segments,
      0.1,
    );
    const path = only(
      cutOpenings(cutInput([shape('a', polygon(...points.map((p): [number, number] => [p[0], p[1]])))]))
        .paths,
    );
    expect(path.segments.length).toBeLessThan(points.length / 10);
  });
});
