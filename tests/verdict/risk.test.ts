import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Shape } from '../../src/drawing/model/drawing.js';
import type { Fit } from '../../src/fit/fit.js';
import { compose, type Matrix, rotation, translation } from '../../src/geometry/affine.js';
import { normalCdf } from '../../src/numeric/distributions.js';
import { createRandom } from '../../src/numeric/random.js';
import { raiseApproach } from '../../src/verdict/edges/approach.js';
import { type EdgeSettings, placedEdges } from '../../src/verdict/edges/edge.js';
import { indexEdge } from '../../src/verdict/edges/edge-index.js';
import { drawErrors } from '../../src/verdict/risk/draws.js';
import { approachCoefficients, errorField } from '../../src/verdict/risk/error-field.js';
import { assessRisk, type JobRisk, neededForJob } from '../../src/verdict/risk/risk.js';
import { fitOf, knownFit, readingsOf, turned, twoOpenings } from './jobs.js';
import { circle, leafPath, polygon, rectangle, shapeOf, starPoints } from './shapes.js';

const mitred: EdgeSettings = { kind: 'opening', corners: 'mitre', mitreLimit: 4, pierced: 0 };

interface Case {
  readonly fit?: Fit;
  readonly shapes?: readonly Shape[];
  readonly settings?: EdgeSettings;
  readonly clearance?: number;
  readonly acceptedRisk?: number;
  readonly cutSd?: number;
  readonly kerfSd?: number;
  readonly draws?: number;
  readonly seed?: string;
}

const riskOf = ({
  fit = knownFit(),
  shapes = twoOpenings,
  settings = mitred,
  clearance = 0.2,
  acceptedRisk = 0.05,
  cutSd = 0,
  kerfSd = 0,
  draws,
  seed,
}: Case): JobRisk =>
  assessRisk({
    edges: placedEdges(shapes, fit.matrix, settings),
    field: errorField(fit, { cutSd, kerfSd })!,
    clearance,
    acceptedRisk,
    ...(draws === undefined ? {} : { draws }),
    ...(seed === undefined ? {} : { seed }),
  });

const shifted = { truth: translation(30, 40) };

describe('against closed forms', () => {
  // Four marks of sd 0.1: the shift has sd 0.05 per axis.
  const fit = knownFit('shift', shifted);

  test('a round hole under a shift: the distance moved is a Rayleigh variable', () => {
    const shapes = [circle('hole', { x: 100, y: 100 }, 12)];
    for (const clearance of [0.05, 0.1, 0.15, 0.3]) {
      const { risk } = riskOf({ fit, shapes, clearance });
      expect(risk / Math.exp(-((clearance / 0.05) ** 2) / 2)).toBeCloseTo(1, 2);
    }
    expect(riskOf({ fit, shapes }).neededClearance).toBeCloseTo(0.05 * Math.sqrt(-2 * Math.log(0.05)), 4);
  });

  test('a mitred rectangle under a shift: the two axes are independent', () => {
    const shapes = [rectangle('r', 100, 100, 40, 20)];
    for (const clearance of [0.03, 0.1, 0.2]) {
      const within = 2 * normalCdf(clearance / 0.05) - 1;
      expect(riskOf({ fit, shapes, clearance }).risk).toBeCloseTo(1 - within * within, 3);
    }
  });

  test('machine and kerf add: variance of the cut to the shift, half the kerf to every point at once', () => {
    const hole = [circle('hole', { x: 100, y: 100 }, 12)];
    const sd = Math.hypot(0.05, 0.08);
    const { risk } = riskOf({ fit, shapes: hole, clearance: 0.2, cutSd: 0.08 });
    expect(risk).toBeCloseTo(Math.exp(-((0.2 / sd) ** 2) / 2), 3);
    // P(|shift| + kerf / 2 > c), integrated over the kerf.
    const kerfSd = 0.12;
    let expected = 0;
    const steps = 4000;
    for (let i = 0; i < steps; i++) {
      const z = -8 + (16 * (i + 0.5)) / steps;
      const room = 0.2 - (kerfSd / 2) * z;
      const touched = room <= 0 ? 1 : Math.exp(-((room / 0.05) ** 2) / 2);
      expected += (touched * Math.exp((-z * z) / 2) * 16) / steps / Math.sqrt(2 * Math.PI);
    }
    expect(riskOf({ fit, shapes: hole, clearance: 0.2, kerfSd }).risk).toBeCloseTo(expected, 3);
  });

  test('with an estimated sd the distance follows Student-t, however few its degrees of freedom', () => {
    for (const seed of ['a', 'b']) {
      const observations = readingsOf({ ...shifted, errors: 0.1, seed });
      for (const count of [2, 3, 4]) {
        const estimated = fitOf(observations.slice(0, count), { model: 'shift' });
        const degrees = estimated.sd.usedDof!;
        const scale = estimated.sd.used! / Math.sqrt(count);
        const shapes = [circle('hole', { x: 100, y: 100 }, 12)];
        // P(|T| > c) = (1 + c^2 / (nu s^2))^(-nu / 2) for a bivariate t.
        const tail = (c: number) => (1 + (c / scale) ** 2 / degrees) ** (-degrees / 2);
        const { risk, neededClearance } = riskOf({ fit: estimated, shapes, clearance: 0.2 });
        expect(risk / tail(0.2)).toBeCloseTo(1, 1.5);
        expect(tail(neededClearance)).toBeCloseTo(0.05, 3);
      }
    }
  });

  test('only the scale of the fit is Student-t: machine and kerf stay normal', () => {
    const observations = readingsOf({ ...shifted, errors: 1e-6 }).slice(0, 2);
    const shapes = [circle('hole', { x: 100, y: 100 }, 12)];
    const nearlyExact = fitOf(observations, { model: 'shift' });
    const { neededClearance } = riskOf({ fit: nearlyExact, shapes, cutSd: 0.5 });
    expect(neededClearance).toBeCloseTo(0.5 * Math.sqrt(-2 * Math.log(0.05)), 2);
  });
});

describe('the search for the largest approach', () => {
  test('finds what looking at every point finds, for every model and shape', () => {
    const random = createRandom('search');
    const shapes = [
      polygon('star', starPoints({ x: 200, y: 150 }, 30, 11, 7)),
      shapeOf('leaf', [leafPath({ x: 380, y: 200 }, { x: 520, y: 340 }, 30)]),
      circle('hole', { x: 90, y: 300 }, 6),
      polygon(
        'rim',
        Array.from({ length: 900 }, (_, i) => {
          const r = 150 + 20 * Math.sin(i / 9) + random.uniform();
          return { x: 300 + r * Math.cos((i * Math.PI) / 450), y: 200 + r * Math.sin((i * Math.PI) / 450) };
        }),
      ),
    ];
    const none: readonly Matrix[] = [];
    // A bed that is longer, out of square, and shorter the other way than it is thought.
    const bed: readonly Matrix[] = [
      [3e-4, 0, 0, 0, 0.02, 0],
      [0, 0, 2e-4, -1e-4, 0, 0.01],
      [0, 0, 0, 2e-4, 0, -0.05],
    ];
    for (const [model, machine] of [
      ['shift', none],
      ['rigid', none],
      ['similarity', none],
      ['affine', none],
      ['shift', bed],
      ['similarity', bed],
      ['affine', bed],
    ] as const) {
      const fit = knownFit(model, model === 'shift' ? shifted : { truth: turned });
      const field = errorField(fit, { cutSd: 0.03, kerfSd: 0, machine })!;
      const edges = placedEdges(shapes, fit.matrix, { ...mitred, corners: 'round' });
      const draws = drawErrors(field, 300, 'search');
      for (const edge of edges) {
        const index = indexEdge(edge, field);
        const best = new Float64Array(draws.count).fill(Number.NEGATIVE_INFINITY);
        for (const run of index.runs.keys()) raiseApproach(index, run, { draws, best });
        const rows = Array.from(edge.x, (x, i) =>
          approachCoefficients(field, { x, y: edge.y[i]! }, { x: edge.normalX[i]!, y: edge.normalY[i]! }),
        );
        for (let j = 0; j < draws.count; j++) {
          let most = Number.NEGATIVE_INFINITY;
          for (const g of rows) {
            let value = g[0]! * draws.shiftX[j]! + g[1]! * draws.shiftY[j]!;
            draws.lever.forEach((t, k) => {
              value += g[2 + k]! * t[j]!;
            });
            most = Math.max(most, value);
          }
          expect(best[j]! - most).toBeGreaterThan(-1e-12);
          expect(best[j]! - most).toBeLessThan(1e-12);
        }
      }
    }
  });
});

describe('what must not matter', () => {
  const base = riskOf({ draws: 1024 });

  test('the order of the openings', () => {
    const back = riskOf({ shapes: [...twoOpenings].reverse(), draws: 1024 });
    expect(back.risk).toBe(base.risk);
    expect(back.neededClearance).toBeCloseTo(base.neededClearance, 6);
    expect([...back.openings].reverse().map((o) => o.risk)).toEqual(base.openings.map((o) => o.risk));
  });

  test('where the part lies, and where the drawing has its origin', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -3, max: 3, noNaN: true }),
        fc.double({ min: -500, max: 500, noNaN: true }),
        (angle, shift) => {
          const move = compose(translation(shift, -shift), rotation(angle));
          const there = riskOf({ fit: knownFit('rigid', { truth: compose(move, turned) }), draws: 1024 });
          // Other directions are drawn, so it agrees to what the draws allow.
          expect(there.neededClearance / base.neededClearance).toBeCloseTo(1, 2);
          expect(there.risk / base.risk).toBeCloseTo(1, 1.5);
        },
      ),
      { seed: 20261125, numRuns: 10 },
    );
  });

  test('the unit of length', () => {
    const inch = (p: { x: number; y: number }) => ({ x: p.x / 25.4, y: p.y / 25.4 });
    const observations = readingsOf().map((o) => ({
      ...o,
      design: inch(o.design),
      readings: o.readings.map(inch),
    }));
    const fit = fitOf(observations, { readingSd: 0.1 / 25.4 });
    const shapes = [
      rectangle('near', 260 / 25.4, 180 / 25.4, 60 / 25.4, 30 / 25.4),
      rectangle('far', 480 / 25.4, 300 / 25.4, 70 / 25.4, 40 / 25.4),
    ];
    const inches = riskOf({ fit, shapes, clearance: 0.2 / 25.4, draws: 1024 });
    expect(inches.risk).toBeCloseTo(base.risk, 9);
    expect(25.4 * inches.neededClearance).toBeCloseTo(base.neededClearance, 6);
  });

  test('the seed, within what the draws promise: 0.2 % of the needed clearance with a known sd, 2 % with one degree of freedom', () => {
    const spread = (of: (seed: string) => number) => {
      const values = Array.from({ length: 12 }, (_, i) => of(`seed ${i}`));
      return (Math.max(...values) - Math.min(...values)) / 2 / values[0]!;
    };
    expect(spread((seed) => riskOf({ seed }).neededClearance)).toBeLessThan(0.002);
    expect(spread((seed) => riskOf({ seed, draws: 2048 }).neededClearance)).toBeLessThan(0.003);
    expect(spread((seed) => riskOf({ seed, draws: 1024 }).neededClearance)).toBeLessThan(0.005);
    const few = fitOf(readingsOf({ errors: 0.1 }).slice(0, 2));
    expect(few.sd.usedDof).toBe(1);
    expect(spread((seed) => riskOf({ fit: few, seed }).neededClearance)).toBeLessThan(0.02);
    const three = fitOf(readingsOf({ errors: 0.1 }).slice(0, 3));
    expect(spread((seed) => riskOf({ fit: three, seed, draws: 1024 }).neededClearance)).toBeLessThan(0.03);
  });
});

describe('what must hold between figures', () => {
  test('the same job gives the same figures: four digits are pinned', () => {
    const { risk, neededClearance, openings } = riskOf({});
    expect(riskOf({})).toEqual(riskOf({}));
    expect(
      [risk, neededClearance, ...openings.map((o) => o.neededClearance)].map((v) => v.toPrecision(4)),
    ).toEqual(['0.001675', '0.1345', '0.1147', '0.1317']);
  });

  test('a larger clearance never has a larger risk, and the needed clearance has the accepted one', () => {
    let last = 1;
    for (let clearance = 0; clearance < 0.5; clearance += 0.01) {
      const { risk } = riskOf({ clearance, draws: 512 });
      expect(risk).toBeLessThanOrEqual(last);
      last = risk;
    }
    for (const acceptedRisk of [0.001, 0.05, 0.3, 0.7, 0.95]) {
      const { neededClearance } = riskOf({ acceptedRisk });
      expect(riskOf({ clearance: neededClearance }).risk / acceptedRisk).toBeCloseTo(1, 4);
      expect(
        neededForJob({
          edges: placedEdges(twoOpenings, knownFit().matrix, mitred),
          field: errorField(knownFit(), { cutSd: 0, kerfSd: 0 })!,
          acceptedRisk,
        }),
      ).toBeCloseTo(neededClearance, 6);
    }
  });

  test('the job is at least as risky as its worst opening and at most as all of them together', () => {
    const { risk, openings } = riskOf({});
    expect(risk).toBeGreaterThanOrEqual(Math.max(...openings.map((o) => o.risk)));
    expect(risk).toBeLessThanOrEqual(openings.reduce((sum, o) => sum + o.risk, 0));
  });

  test('an opening far from the marks needs more than one between them', () => {
    const [near, far] = riskOf({}).openings;
    expect(far!.neededClearance).toBeGreaterThan(near!.neededClearance);
    expect(far!.worst!.predictedError).toBeGreaterThan(near!.worst!.predictedError);
  });
});

describe('corners that a wide beam leaves little room', () => {
  const fit = knownFit();
  const shapes = [polygon('star', starPoints({ x: 300, y: 200 }, 40, 20, 5))];
  const edges = placedEdges(shapes, fit.matrix, {
    ...mitred,
    tools: { beam: 0.6, piercing: 0.1, clearance: 0.5 },
  });
  const field = errorField(fit, { cutSd: 0, kerfSd: 0 })!;
  const judged = (clearance: number) => {
    const { risk, neededClearance, openings } = assessRisk({ edges, field, clearance, acceptedRisk: 0.05 });
    return { risk, neededClearance, opening: openings[0]! };
  };

  test('an opening needs the same, whatever the clearance is that it is asked for at', () => {
    const needed = judged(0.5).opening.neededClearance;
    const floor = Math.max(...edges.map(({ room }) => floorOf(room!)));
    expect(floor).toBeGreaterThan(0.2 * needed);
    const between = [0.001, 0.01, 0.1, 0.3, 0.7, 0.95].map((share) => floor + share * (needed - floor));
    for (const clearance of [0.5 * floor, ...between, 1.5 * needed, 10 * needed]) {
      const { opening, neededClearance } = judged(clearance);
      expect(opening.neededClearance / needed).toBeCloseTo(1, 4);
      expect(neededClearance / needed).toBeCloseTo(1, 4);
    }
    expect(judged(needed).opening.risk / 0.05).toBeCloseTo(1, 3);
  });

  const floorOf = ({ gain, extra }: { gain: Float64Array; extra: Float64Array }): number =>
    Math.max(...Array.from(gain, (g, i) => -extra[i]! / g));
});
