import { describe, expect, test } from 'vitest';
import { applicableTransform, openingPoints } from '../../src/fit/applicable.js';
import { apply, compose, identity, type Matrix, rotation, translation } from '../../src/geometry/affine.js';
import { distance } from '../../src/geometry/point.js';
import { createRandom } from '../../src/numeric/random.js';
import { placedEdges } from '../../src/verdict/edges/edge.js';
import { approachCoefficients, errorField } from '../../src/verdict/risk/error-field.js';
import { remainingField } from '../../src/verdict/risk/remaining.js';
import { assessRisk, neededForJob } from '../../src/verdict/risk/risk.js';
import { checkOf, fitOf, readingsOf, twoOpenings } from './jobs.js';

const points = openingPoints(twoOpenings, identity);
const settings = { kind: 'opening', corners: 'mitre', mitreLimit: 4, pierced: 0 } as const;
const squares = (m: Matrix, target: Matrix) =>
  points.reduce((sum, p) => sum + distance(apply(m, p), apply(target, p)) ** 2, 0);

describe('what a cutter applies that cannot apply the fit', () => {
  const fitted: Matrix = [1.002, 0.03, -0.028, 0.999, 40, 25];

  test('everything: the fit itself; the points taken are those of the edges, through the face', () => {
    expect(applicableTransform(fitted, 'full', points)).toBe(fitted);
    expect(openingPoints(twoOpenings, [-1, 0, 0, 1, 0, 0]).map((p) => p.x)).toEqual(points.map((p) => -p.x));
  });

  test('no neighbour of the shift or the rigid transform comes closer to the fit', () => {
    const shift = applicableTransform(fitted, 'shift', points);
    const rigid = applicableTransform(fitted, 'rigid', points);
    expect(shift.slice(0, 4)).toEqual([1, 0, 0, 1]);
    expect(rigid[0] * rigid[3] - rigid[1] * rigid[2]).toBeCloseTo(1, 12);
    const h = 1e-3;
    for (const step of [translation(h, 0), translation(-h, 0), translation(0, h), translation(0, -h)]) {
      expect(squares(compose(step, shift), fitted)).toBeGreaterThan(squares(shift, fitted));
      expect(squares(compose(step, rigid), fitted)).toBeGreaterThan(squares(rigid, fitted));
    }
    for (const turn of [rotation(1e-5), rotation(-1e-5)]) {
      const middle = apply(rigid, { x: 390, y: 250 });
      const about = compose(
        translation(middle.x, middle.y),
        compose(turn, translation(-middle.x, -middle.y)),
      );
      expect(squares(compose(about, rigid), fitted)).toBeGreaterThan(squares(rigid, fitted));
    }
    expect(squares(rigid, fitted)).toBeLessThan(squares(shift, fitted));
  });

  test('a rigid fit leaves nothing to a cutter that can turn and shift', () => {
    const fit = fitOf(readingsOf(), { readingSd: 0.1 });
    const edges = placedEdges(twoOpenings, fit.matrix, settings);
    expect(
      remainingField(fit.matrix, applicableTransform(fit.matrix, 'rigid', points), edges),
    ).toBeUndefined();
  });
});

describe('what is left out counts', () => {
  const truth = compose(translation(100, 80), rotation(0.0012));
  const fit = fitOf(readingsOf({ truth }), { readingSd: 0.1 });
  const edges = placedEdges(twoOpenings, fit.matrix, settings);
  const systematic = remainingField(fit.matrix, applicableTransform(fit.matrix, 'shift', points), edges)!;

  test('the risk is that of known and random displacement together, and so is the needed clearance', () => {
    const field = errorField(fit, { cutSd: 0.02, kerfSd: 0.04 })!;
    const random = createRandom('systematic');
    const rows = edges.flatMap((edge) =>
      Array.from(edge.x, (x, i) => {
        const p = { x, y: edge.y[i]! };
        const n = { x: edge.normalX[i]!, y: edge.normalY[i]! };
        const known = apply(systematic, p);
        return { g: approachCoefficients(field, p, n), known: n.x * known.x + n.y * known.y };
      }),
    );
    const [[a], , [, , c]] = field.covariance as [number[], number[], number[]];
    const trials = 100_000;
    const largest = new Float64Array(trials);
    for (let k = 0; k < trials; k++) {
      const x = Math.sqrt(a! + 0.02 ** 2) * random.normal();
      const y = Math.sqrt(a! + 0.02 ** 2) * random.normal();
      const t = Math.sqrt(c!) * random.normal();
      const kerf = 0.02 * random.normal();
      let most = Number.NEGATIVE_INFINITY;
      for (const { g, known } of rows)
        most = Math.max(most, g[0]! * x + g[1]! * y + g[2]! * t + kerf + known);
      largest[k] = most;
    }
    largest.sort();
    const simulated = (clearance: number) => largest.filter((v) => v >= clearance).length / trials;
    for (const clearance of [0.08, 0.12, 0.2, 0.25, 0.3]) {
      const { risk } = assessRisk({ edges, field, clearance, acceptedRisk: 0.05, systematic, draws: 4096 });
      // Three binomial sd of the simulation, and what the draws leave open.
      const sd = Math.sqrt((risk * (1 - risk)) / trials);
      expect(Math.abs(risk - simulated(clearance))).toBeLessThan(3 * sd + 0.004);
    }
    const { neededClearance } = assessRisk({ edges, field, clearance: 0.1, acceptedRisk: 0.05, systematic });
    expect(neededClearance / largest[Math.floor(0.95 * trials)]!).toBeCloseTo(1, 1.7);
    expect(neededForJob({ edges, field, acceptedRisk: 0.05, systematic })).toBeCloseTo(neededClearance, 5);
  });

  test('with hardly any error left the needed clearance is the known approach', () => {
    const exact = fitOf(readingsOf({ truth }), { readingSd: 1e-7 });
    const field = errorField(exact, { cutSd: 0, kerfSd: 0 })!;
    const { neededClearance, openings } = assessRisk({
      edges,
      field,
      clearance: 0.1,
      acceptedRisk: 0.05,
      systematic,
    });
    const known = Math.max(...openings.map((o) => o.worst!.systematic));
    expect(known).toBeGreaterThan(0.05);
    expect(neededClearance).toBeCloseTo(known, 5);
  });

  test('a check says what is left out, and what to do about it', () => {
    const observations = readingsOf({ truth: compose(translation(100, 80), rotation(0.01)) });
    const check = checkOf({ observations, cut: { apply: 'shift', clearance: 0.3 } });
    expect(check.verdict).toBe('does-not-fit');
    expect(check.risk).toBeGreaterThan(0.99);
    expect(check.explanation).toMatch(/^Even without any error the new edge comes 1\.\d\d mm too close/);
    expect(check.advice[0]!.kind).toBe('place-by-hand');
    expect(check.advice[0]!.message).toContain('turn the part by 0.573 deg clockwise');
    expect(Math.min(...check.openings.map((o) => o.margin))).toBeLessThan(0);
    const full = checkOf({ observations, cut: { apply: 'full', clearance: 0.3 } });
    expect(full.verdict).toBe('fits');
    expect(full.openings.map((o) => o.margin)).toEqual([0.3, 0.3]);
  });
});
