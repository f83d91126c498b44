import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { meet, meetItself } from '../../../src/drawing/join/doubtful/meet.js';
import {
  type Arc,
  endOf,
  type Line,
  positionAt,
  type Segment,
  startOf,
} from '../../../src/geometry/curve.js';
import { distance } from '../../../src/geometry/point.js';

const line = (x1: number, y1: number, x2: number, y2: number): Line => ({
  kind: 'line',
  from: { x: x1, y: y1 },
  to: { x: x2, y: y2 },
});

const arc = (x: number, y: number, radius: number, start: number, sweep: number): Arc => ({
  kind: 'arc',
  centre: { x, y },
  radius,
  start,
  sweep,
});

describe('ends that nearly meet', () => {
  it('two lines that cross or fall short meet in their corner, and keep their directions', () => {
    for (const over of [-0.005, 0.005]) {
      const { before, after } = meet(line(0, 0, 10 + over, 0), line(10, -over, 10, 10), 0.01);
      expect(before).toEqual(line(0, 0, 10, 0));
      expect(after).toEqual(line(10, 0, 10, 10));
    }
  });

  it('lines along each other meet in the middle', () => {
    const { before, after } = meet(line(0, 0, 10, 0), line(10.004, 0.002, 20, 0), 0.01);
    expect(endOf(before).x).toBeCloseTo(10.002, 12);
    expect(endOf(before).y).toBeCloseTo(0.001, 12);
    expect(startOf(after)).toEqual(endOf(before));
  });

  it('a line comes to the arc, which stays as it is', () => {
    const quarter = arc(0, 0, 10, 0, Math.PI / 2);
    const { before, after } = meet(quarter, line(0.004, 10, -10, 10), 0.01);
    expect(before).toBe(quarter);
    expect(startOf(after)).toEqual(endOf(quarter));
    expect(endOf(meet(line(20, 0, 10.005, 0), quarter, 0.01).before)).toEqual({ x: 10, y: 0 });
  });

  it('arcs of one circle are extended on it', () => {
    const { before, after } = meet(arc(0, 0, 10, 0, 1), arc(0, 0, 10, 1.0006, 1), 0.01);
    expect(before).toMatchObject({ centre: { x: 0, y: 0 }, radius: 10 });
    expect(after).toMatchObject({ centre: { x: 0, y: 0 }, radius: 10 });
    expect(distance(endOf(before), startOf(after))).toBeLessThan(1e-12);
    expect((before as Arc).sweep).toBeCloseTo(1.0003, 9);
    expect(endOf(after)).toEqual(endOf(arc(0, 0, 10, 1.0006, 1)));
  });

  it('arcs whose circles cross nearby are extended or cut back to where they do', () => {
    // The circle about (0, 0) and the one about (14, 0) cross at (7, sqrt 51).
    const there = Math.acos(0.7);
    const { before, after } = meet(
      arc(0, 0, 10, 0, there + 0.0004),
      arc(14, 0, 10, Math.PI - there, 1),
      0.01,
    );
    expect(before).toMatchObject({ centre: { x: 0, y: 0 }, radius: 10 });
    expect(after).toMatchObject({ centre: { x: 14, y: 0 }, radius: 10 });
    expect(distance(endOf(before), { x: 7, y: Math.sqrt(51) })).toBeLessThan(1e-9);
    expect(distance(startOf(after), endOf(before))).toBeLessThan(1e-9);
  });

  it('arcs within rounding of each other are not touched', () => {
    const [a, b] = [arc(0, 0, 10, 0, 1), arc(3, 4, 5, 2, 1)];
    const end = endOf(a);
    const start = startOf(b);
    const moved = {
      ...b,
      centre: { x: b.centre.x + end.x - start.x + 5e-7, y: b.centre.y + end.y - start.y },
    };
    const meeting = meet(a, moved, 0.01);
    expect(meeting.before).toBe(a);
    expect(meeting.after).toBe(moved);
  });

  it('an arc almost round that ends beside another is bridged', () => {
    const apart = meet(arc(0, 0, 10, 0.0005, 2 * Math.PI - 0.001), arc(50.03, 0, 40, Math.PI, 6.2827), 0.05);
    expect(apart.bridge).toBeDefined();
    expect(apart.bridge!.from).toEqual(endOf(apart.before));
    expect(apart.bridge!.to).toEqual(startOf(apart.after));
  });

  it('an arc that comes almost round is the whole circle', () => {
    expect(meetItself(arc(0, 0, 10, 0, -6.283))).toEqual([arc(0, 0, 10, 0, -2 * Math.PI)]);
  });

  it('nothing moves by more than twice the gap, and all that meet do', () => {
    const coordinate = fc.double({ min: -20, max: 20, noNaN: true });
    const small = fc.double({ min: -0.005, max: 0.005, noNaN: true });
    const curve: fc.Arbitrary<Segment> = fc.oneof(
      fc.tuple(coordinate, coordinate).map(([x, y]): Segment => line(x, y, 30, 40)),
      fc
        .tuple(coordinate, coordinate, fc.double({ min: 0.5, max: 5.5, noNaN: true }), fc.boolean())
        .map(([x, y, sweep, positive]): Segment => {
          const radius = Math.hypot(30 - x, 40 - y);
          const end = Math.atan2(40 - y, 30 - x);
          const turn = positive ? sweep : -sweep;
          return arc(x, y, radius, end - turn, turn);
        }),
      fc.tuple(coordinate, coordinate, coordinate, coordinate).map(
        ([a, b, c, d]): Segment => ({
          kind: 'cubic',
          from: { x: a, y: b },
          control1: { x: c, y: d },
          control2: { x: b, y: c },
          to: { x: 30, y: 40 },
        }),
      ),
    );
    const shifted = (s: Segment, x: number, y: number): Segment => {
      const move = (p: { x: number; y: number }) => ({ x: p.x + x, y: p.y + y });
      if (s.kind === 'line') return { ...s, from: move(s.from), to: move(s.to) };
      if (s.kind !== 'cubic') return { ...s, centre: move(s.centre) };
      return {
        ...s,
        from: move(s.from),
        control1: move(s.control1),
        control2: move(s.control2),
        to: move(s.to),
      };
    };
    const backwards = (s: Segment): Segment => {
      if (s.kind === 'line') return { ...s, from: s.to, to: s.from };
      if (s.kind !== 'cubic') return { ...s, start: s.start + s.sweep, sweep: -s.sweep };
      return { ...s, from: s.to, control1: s.control2, control2: s.control1, to: s.from };
    };
    fc.assert(
      fc.property(curve, curve, small, small, (a, b, x, y) => {
        const next = shifted(backwards(b), x, y);
        const gap = Math.max(1e-9, Math.hypot(x, y));
        const { before, after, bridge } = meet(a, next, 0.01);
        const end = bridge === undefined ? endOf(before) : bridge.to;
        expect(distance(end, startOf(after))).toBeLessThan(1e-6);
        expect(before.kind).toBe(a.kind);
        expect(after.kind).toBe(next.kind);
        // Lines and arcs that are extended to where they cross may go on by the join distance.
        const most = Math.max(2 * gap, 0.01) + 1e-9;
        for (const [drawn, met] of [
          [a, before],
          [next, after],
        ] as const) {
          for (let t = 0; t <= 1; t += 0.125) {
            expect(distance(positionAt(drawn, t), positionAt(met, t))).toBeLessThanOrEqual(most);
          }
        }
      }),
      { seed: 20261125, numRuns: 2000 },
    );
  });
});
