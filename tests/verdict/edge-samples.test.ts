/** Between two samples of an edge nothing comes nearer than the stated fineness allows. */
import { describe, expect, it } from 'vitest';
import { derivativeAt, positionAt, type Segment } from '../../src/geometry/curve.js';
import { createRandom } from '../../src/numeric/random.js';
import { type EdgeChain, fieldsOfChain, sampleSegment } from '../../src/verdict/edge-samples.js';

describe('samples of a curve', () => {
  it('have the extremes of every n . (shift + L p) along it, but for the arm times L and the turn times the shift', () => {
    const random = createRandom('edge samples');
    const point = () => ({ x: 40 * random.normal(), y: 40 * random.normal() });
    const arm = 0.02;
    const turn = 0.4;
    for (let number = 0; number < 60; number++) {
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
      const chain: EdgeChain = [];
      sampleSegment(segment, { turn, arm }, chain);
      for (let trial = 0; trial < 20; trial++) {
        // L alone, each of its four numbers at most 1: n . L p' may be out by the four products' arms.
        const [a, b, c, d] = Array.from({ length: 4 }, () => 2 * random.uniform() - 1) as [
          number,
          number,
          number,
          number,
        ];
        const about = positionAt(segment, random.uniform());
        const value = (x: number, y: number, dx: number, dy: number): number => {
          const [px, py] = [x - about.x, y - about.y];
          return dy * (a * px + b * py) - dx * (c * px + d * py);
        };
        let sampled = Number.NEGATIVE_INFINITY;
        for (let i = 0; i < chain.length; i += fieldsOfChain)
          sampled = Math.max(sampled, value(chain[i]!, chain[i + 1]!, chain[i + 2]!, chain[i + 3]!));
        let exact = Number.NEGATIVE_INFINITY;
        for (let k = 0; k <= 400; k++) {
          const p = positionAt(segment, k / 400);
          const v = derivativeAt(segment, k / 400);
          const size = Math.hypot(v.x, v.y);
          if (size < 1e-6) continue;
          exact = Math.max(exact, value(p.x, p.y, v.x / size, v.y / size));
        }
        // A mixture of unit normals is shorter than one by 1 - cos(turn / 2), wherever it is looked at from.
        const reach = Math.max(0, exact) * (1 / Math.cos(turn / 2) - 1);
        expect(exact - sampled).toBeLessThanOrEqual(4 * arm + reach);
      }
    }
  });
});
