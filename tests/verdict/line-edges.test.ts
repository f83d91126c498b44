import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Shape } from '../../src/drawing/model/drawing.js';
import { identity } from '../../src/geometry/affine.js';
import { type Path, positionAt } from '../../src/geometry/curve.js';
import type { Point } from '../../src/geometry/point.js';
import { type CheckInput, checkFit } from '../../src/verdict/check.js';
import { lineEdges } from '../../src/verdict/edges/line-edges.js';
import { arc, line } from '../drawing/cut-files.js';
import { distanceTo } from '../drawing/nc-machine.js';
import { fitOf, readingsOf } from './jobs.js';

const shapeOf = (path: Path): Shape => ({
  id: 'line',
  named: true,
  layers: [],
  element: 'path',
  paths: [path],
});

const angle: Path = { closed: false, segments: [line(0, 0, 30, 0), line(30, 0, 20, 25)] };
const hook: Path = { closed: false, segments: [line(0, 0, 30, 0), arc(30, 12, 12, -Math.PI / 2, 3)] };
const kite: Path = {
  closed: true,
  segments: [line(0, 0, 40, 0), line(40, 0, 45, 30), line(45, 30, 10, 12), line(10, 12, 0, 0)],
};

/** By definition: the farthest that any point of the moved line lies from the line. */
const farthest = (path: Path, d: Point): number => {
  let most = 0;
  for (const s of path.segments) {
    for (let k = 0; k <= 400; k++) {
      const p = positionAt(s, k / 400);
      const moved = { x: p.x + d.x, y: p.y + d.y };
      const curves = path.segments.flatMap((c) => (c.kind === 'line' || c.kind === 'arc' ? [c] : []));
      most = Math.max(most, Math.min(...curves.map((c) => distanceTo(moved, c))));
    }
  }
  return most;
};

const checkOf = (path: Path, allowedDeviation: number, readingSd: number) => {
  const observations = readingsOf();
  const options = { model: 'shift' as const, readingSd, markSd: 0 };
  const input: CheckInput = {
    fit: fitOf(readingsOf({ truth: identity }), options),
    observations,
    options,
    openings: [shapeOf(path)],
    face: 'up',
    pierced: { kerf: 0, compensated: true },
    cut: { kind: 'as-drawn', clearance: 0, kerf: 0, corners: 'mitre', mitreLimit: 4, apply: 'full' },
    check: { acceptedRisk: 0.05, cutSd: 0, kerfSd: 0.5, allowedDeviation },
  };
  return checkFit(input);
};

describe('how far a line cut again lies from the first cut', () => {
  it.each([
    ['an open angle', angle],
    ['an open line that ends in an arc', hook],
    ['a closed kite', kite],
  ])('is the largest n . d over the points of %s', (_, path) => {
    const [edge] = lineEdges([shapeOf(path)], identity);
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 3599 }), (tenths) => {
        const direction = (tenths * Math.PI) / 1800;
        const d = { x: 0.2 * Math.cos(direction), y: 0.2 * Math.sin(direction) };
        let largest = Number.NEGATIVE_INFINITY;
        edge!.x.forEach((_x, i) => {
          largest = Math.max(largest, edge!.normalX[i]! * d.x + edge!.normalY[i]! * d.y);
        });
        const exact = farthest(path, d);
        expect(largest).toBeLessThanOrEqual(0.2 * (1 + 1e-9));
        // Never less than the truth; more only where the moved end of one stretch comes to lie near another one.
        expect(largest).toBeGreaterThan(exact * (1 - 3e-4));
        expect(largest - exact).toBeLessThan(0.2 * 0.02);
      }),
      { seed: 20261125, numRuns: 120 },
    );
  });

  it('exceeds what is allowed for a short line as a circular normal error does: exp(-a^2 / 2 s^2)', () => {
    // Four marks: the sd of the mean is half that of a reading.
    const { risk, neededClearance, verdict } = checkOf(
      { closed: false, segments: [line(0, 0, 0.001, 0)] },
      0.2,
      0.2,
    );
    expect(risk).toBeCloseTo(Math.exp(-2), 2);
    expect(neededClearance).toBeCloseTo(0.1 * Math.sqrt(-2 * Math.log(0.05)), 2);
    expect(verdict).toBe('too-close');
  });

  it('counts no kerf: the beam runs along the line whatever it takes away', () => {
    const check = checkOf(kite, 5, 0.2);
    expect(check.openings[0]!.predictedError).toBeCloseTo(0.1, 6);
    expect(check).toMatchObject({ verdict: 'fits', clearance: 5 });
  });

  it('names ends and corners of open lines to look at', () => {
    const { witness } = checkOf(angle, 5, 0.2);
    expect(witness.map((w) => w.kind).sort()).toEqual(['corner', 'end', 'end']);
  });
});
