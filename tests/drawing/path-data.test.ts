import fc from 'fast-check';
import { SVGPathData } from 'svg-pathdata';
import { describe, expect, test } from 'vitest';
import { pathData } from '../../src/drawing/write/path-data.js';
import { type Matrix, rotation, scaling } from '../../src/geometry/affine.js';
import {
  type EllipticalArc,
  endOf,
  fractionOfSweep,
  type Path,
  positionAt,
  type Segment,
  startOf,
  transformSegment,
} from '../../src/geometry/curve.js';
import { cross, distance, type Point, subtract } from '../../src/geometry/point.js';

const turnedOver: Matrix = [1, 0, 0, -1, 0, 100];

/** Points along path data as another reader sees it: arcs by the W3C's conversion to the centre form. */
const pointsOf = (data: string, perCommand: number): Point[] => {
  const points: Point[] = [];
  let at: Point = { x: 0, y: 0 };
  let start = at;
  for (const c of new SVGPathData(data).toAbs().commands) {
    if (c.type === SVGPathData.MOVE_TO) {
      at = { x: c.x, y: c.y };
      start = at;
      points.push(at);
    } else if (c.type === SVGPathData.LINE_TO || c.type === SVGPathData.CLOSE_PATH) {
      const to = c.type === SVGPathData.LINE_TO ? { x: c.x, y: c.y } : start;
      points.push(to);
      at = to;
    } else if (c.type === SVGPathData.CURVE_TO) {
      const cubic: Segment = {
        kind: 'cubic',
        from: at,
        control1: { x: c.x1, y: c.y1 },
        control2: { x: c.x2, y: c.y2 },
        to: { x: c.x, y: c.y },
      };
      for (let i = 1; i <= perCommand; i++) points.push(positionAt(cubic, i / perCommand));
      at = cubic.to;
    } else if (c.type === SVGPathData.ARC) {
      const to = { x: c.x, y: c.y };
      points.push(...arcPoints(at, to, c, perCommand));
      at = to;
    } else {
      throw new Error('unexpected path command');
    }
  }
  return points;
};

/** W3C SVG 1.1, appendix F.6.5, with radii raised as in F.6.6. */
const arcPoints = (
  from: Point,
  to: Point,
  arc: { rX: number; rY: number; xRot: number; lArcFlag: number; sweepFlag: number },
  count: number,
): Point[] => {
  const phi = (arc.xRot * Math.PI) / 180;
  const [c, s] = [Math.cos(phi), Math.sin(phi)];
  const [hx, hy] = [(from.x - to.x) / 2, (from.y - to.y) / 2];
  const [x1, y1] = [c * hx + s * hy, -s * hx + c * hy];
  const raise = Math.max(1, Math.hypot(x1 / arc.rX, y1 / arc.rY));
  const [rx, ry] = [arc.rX * raise, arc.rY * raise];
  const below = rx * rx * y1 * y1 + ry * ry * x1 * x1;
  const size =
    Math.sqrt(Math.max(0, (rx * rx * ry * ry - below) / below)) * (arc.lArcFlag === arc.sweepFlag ? -1 : 1);
  const [cx1, cy1] = [(size * rx * y1) / ry, (-size * ry * x1) / rx];
  const centre = { x: c * cx1 - s * cy1 + (from.x + to.x) / 2, y: s * cx1 + c * cy1 + (from.y + to.y) / 2 };
  const start = Math.atan2((y1 - cy1) / ry, (x1 - cx1) / rx);
  let sweep = Math.atan2((-y1 - cy1) / ry, (-x1 - cx1) / rx) - start;
  if (arc.sweepFlag === 1 && sweep < 0) sweep += 2 * Math.PI;
  if (arc.sweepFlag === 0 && sweep > 0) sweep -= 2 * Math.PI;
  return Array.from({ length: count }, (_, i) => {
    const t = start + (sweep * (i + 1)) / count;
    const [x, y] = [rx * Math.cos(t), ry * Math.sin(t)];
    return { x: centre.x + c * x - s * y, y: centre.y + s * x + c * y };
  });
};

/** How far p lies off an ellipse, relative to its size, and the fraction of the arc at which it lies. */
const onArc = (arc: EllipticalArc, p: Point): { off: number; fraction: number } => {
  const d = subtract(p, arc.centre);
  const area = cross(arc.u, arc.v);
  const [c, s] = [cross(d, arc.v) / area, cross(arc.u, d) / area];
  return {
    off: Math.abs(Math.hypot(c, s) - 1),
    fraction: fractionOfSweep(arc.start, arc.sweep, Math.atan2(s, c)),
  };
};

describe('path data', () => {
  test('lines, arcs, cubics and the closing line of a slot are written as they are', () => {
    const slot: Path = {
      closed: true,
      segments: [
        { kind: 'line', from: { x: 0, y: 0 }, to: { x: 30, y: 0 } },
        { kind: 'arc', centre: { x: 30, y: 5 }, radius: 5, start: -Math.PI / 2, sweep: Math.PI / 2 },
        {
          kind: 'cubic',
          from: { x: 35, y: 5 },
          control1: { x: 35, y: 8 },
          control2: { x: 33, y: 10 },
          to: { x: 30, y: 10 },
        },
        { kind: 'line', from: { x: 30, y: 10 }, to: { x: 0, y: 0 } },
      ],
    };
    expect(pathData(slot, turnedOver)).toBe('M0,100L30,100A5,5 0 0 0 35,95C35,92 33,90 30,90Z');
  });

  test('an open path stays open, and an empty one has no data', () => {
    const line: Segment = { kind: 'line', from: { x: 0, y: 0 }, to: { x: 1, y: 2 } };
    expect(pathData({ closed: false, segments: [line] }, scaling(1, 1))).toBe('M0,0L1,2');
    expect(pathData({ closed: true, segments: [] }, scaling(1, 1))).toBe('');
  });

  test('a whole circle is written in parts, none of them longer than a third of a turn', () => {
    const circle: Path = {
      closed: true,
      segments: [{ kind: 'arc', centre: { x: 10, y: 10 }, radius: 4, start: 0.3, sweep: 2 * Math.PI }],
    };
    const data = pathData(circle, turnedOver, 6);
    expect(data.match(/A/g)).toHaveLength(3);
    for (const p of pointsOf(data, 20)) expect(Math.hypot(p.x - 10, p.y - 90)).toBeCloseTo(4, 5);
  });

  test('elliptical arcs, turned, leaned and mirrored, are read back by the W3C conversion as the same curve', () => {
    const real = fc.double({ min: -1, max: 1, noNaN: true });
    fc.assert(
      fc.property(real, real, real, real, real, real, (a, b, turn, lean, start, sweep) => {
        const arc: EllipticalArc = {
          kind: 'elliptical-arc',
          centre: { x: 20, y: 30 },
          u: { x: 12 + 3 * a, y: 4 * lean },
          v: { x: 5 * lean, y: (7 + 3 * b) * (turn > 0 ? 1 : -1) },
          start: 3 * start,
          sweep: (sweep < 0 ? -1 : 1) * (0.2 + 5 * Math.abs(sweep)),
        };
        const matrix = rotation(3 * turn);
        const moved = transformSegment(matrix, arc) as EllipticalArc;
        const points = pointsOf(pathData({ closed: false, segments: [arc] }, matrix, 9), 7);
        const places = points.map((p) => onArc(moved, p));
        for (const { off } of places) expect(off).toBeLessThan(1e-7);
        const inside = places.slice(1, -1).map(({ fraction }) => fraction);
        expect(inside).toEqual([...inside].sort((x, y) => x - y));
        expect(inside.at(-1)).toBeLessThan(1);
        expect(distance(points[0]!, startOf(moved))).toBeLessThan(1e-8);
        expect(distance(points.at(-1)!, endOf(moved))).toBeLessThan(1e-8);
      }),
      { seed: 20261125, numRuns: 300 },
    );
  });
});
