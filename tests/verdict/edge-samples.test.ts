/** Between two samples of an edge nothing lies outside what the stated fineness allows, and no more are taken than that takes. */
import { describe, expect, it } from 'vitest';
import { derivativeAt, positionAt, type Segment } from '../../src/geometry/curve.js';
import { createRandom } from '../../src/numeric/random.js';
import { ChainStore, fieldsOfChain, sampleSegment } from '../../src/verdict/edges/edge-samples.js';

const fineness = { turn: 0.4, arm: 0.02 };

interface Sample {
  readonly x: number;
  readonly y: number;
  readonly dx: number;
  readonly dy: number;
}

const samplesOf = (segment: Segment): Sample[] => {
  const store = new ChainStore();
  sampleSegment(segment, fineness, store);
  const chain = store.take();
  return Array.from({ length: chain.length / fieldsOfChain }, (_, i) => {
    const [x, y, dx, dy] = chain.subarray(i * fieldsOfChain, (i + 1) * fieldsOfChain);
    return { x: x!, y: y!, dx: dx!, dy: dy! };
  });
};

const steps = 20_000;
const truthOf = (segment: Segment): Sample[] =>
  Array.from({ length: steps + 1 }, (_, k) => {
    const { x, y } = positionAt(segment, k / steps);
    const v = derivativeAt(segment, k / steps);
    const size = Math.hypot(v.x, v.y);
    return { x, y, dx: v.x / size, dy: v.y / size };
  });

/** The largest of the four products n p' by which a point differs from the mixture of a and b that has its normal. */
const misfit = (a: Sample, m: Sample, b: Sample): number => {
  const turn = a.dx * b.dy - a.dy * b.dx;
  if (Math.abs(turn) < 1e-9) return 0;
  const shareA = (m.dx * b.dy - m.dy * b.dx) / turn;
  const shareB = (a.dx * m.dy - a.dy * m.dx) / turn;
  const products = (['dx', 'dy'] as const).flatMap((n) =>
    (['x', 'y'] as const).map((p) => shareA * a[n] * (a[p] - m[p]) + shareB * b[n] * (b[p] - m[p])),
  );
  return Math.max(...products.map(Math.abs));
};

/** A slice of an ellipse that is nearly a circle of 40 mm. */
const bow = (start: number, sweep: number): Segment => ({
  kind: 'elliptical-arc',
  centre: { x: 5, y: -3 },
  u: { x: 40, y: 0 },
  v: { x: 0, y: 40.01 },
  start,
  sweep,
});

describe('samples of an even curve', () => {
  const slices = Array.from({ length: 16 }, (_, i) => bow((i * Math.PI) / 8, i % 2 === 0 ? 0.39 : -0.39));

  it('keep every point between them to the mixture of its neighbours, whichever way the curve runs', () => {
    for (const slice of slices) {
      const samples = samplesOf(slice);
      const truth = truthOf(slice);
      // Where each sample is among the exact points: the nearest of them.
      const places = samples.map(({ x, y }) => {
        let best = 0;
        for (let k = 0; k <= steps; k++)
          if (
            Math.hypot(truth[k]!.x - x, truth[k]!.y - y) < Math.hypot(truth[best]!.x - x, truth[best]!.y - y)
          )
            best = k;
        return best;
      });
      let worst = 0;
      for (let i = 1; i < samples.length; i++)
        for (let k = places[i - 1]!; k <= places[i]!; k += 20)
          worst = Math.max(worst, misfit(samples[i - 1]!, truth[k]!, samples[i]!));
      expect(worst).toBeLessThanOrEqual(1.01 * fineness.arm);
      expect(worst).toBeGreaterThan(0.1 * fineness.arm);
    }
  });

  it('are hardly more than twice as many as that takes', () => {
    // A step that turns by t has the misfit R t^2 / 8 times the larger of the squares of its direction.
    for (const slice of slices) {
      const { dx, dy } = truthOf(slice)[steps / 2]!;
      const step = Math.sqrt((8 * fineness.arm) / (40 * Math.max(dx * dx, dy * dy)));
      expect(samplesOf(slice).length - 1).toBeLessThanOrEqual(Math.ceil((2.6 * 0.39) / step));
    }
  });
});

describe('samples of any curve', () => {
  it('have the extremes of every n . (shift + L p) along it, but for the arm times L and the turn times the shift', () => {
    const random = createRandom('edge samples');
    const point = () => ({ x: 40 * random.normal(), y: 40 * random.normal() });
    for (let number = 0; number < 40; number++) {
      const from = point();
      const segment: Segment =
        number % 2 === 0
          ? { kind: 'cubic', from, control1: point(), control2: point(), to: point() }
          : {
              kind: 'elliptical-arc',
              centre: from,
              u: point(),
              v: point(),
              start: 6 * random.uniform(),
              sweep: 5 * random.uniform() - 2.5,
            };
      const samples = samplesOf(segment);
      const truth = truthOf(segment).filter((_, k) => k % 50 === 0);
      for (let trial = 0; trial < 10; trial++) {
        const [a, b, c, d] = Array.from({ length: 4 }, () => 2 * random.uniform() - 1);
        const about = positionAt(segment, random.uniform());
        const value = ({ x, y, dx, dy }: Sample): number =>
          dy * (a! * (x - about.x) + b! * (y - about.y)) - dx * (c! * (x - about.x) + d! * (y - about.y));
        const sampled = Math.max(...samples.map(value));
        const exact = Math.max(...truth.map(value));
        // A mixture of unit normals is shorter than one by 1 - cos(turn / 2), wherever it is looked at from.
        const reach = Math.max(0, exact) * (1 / Math.cos(fineness.turn / 2) - 1);
        expect(exact - sampled).toBeLessThanOrEqual(4 * fineness.arm + reach);
      }
    }
  });
});
