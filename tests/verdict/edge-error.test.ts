import { describe, expect, it } from 'vitest';
import { identity } from '../../src/geometry/affine.js';
import { createRandom } from '../../src/numeric/random.js';
import { placedEdges } from '../../src/verdict/edges/edge.js';
import { edgeErrorOf, losing } from '../../src/verdict/risk/edge-error.js';
import { neededForJob } from '../../src/verdict/risk/risk.js';
import { rectangle } from './shapes.js';

const drawnSd = 0.03;

/** What a verdict finds for squares in a row, placed with an sd per axis, whose sides are known with `drawnSd`. */
const needed = (squares: number, placedSd: number, acceptedRisk: number): number => {
  const { loss, sd } = edgeErrorOf(drawnSd, squares, acceptedRisk);
  const shapes = Array.from({ length: squares }, (_, i) => rectangle(`s${i}`, 50 * i, 0, 30, 30));
  const edges = placedEdges(shapes, identity, {
    kind: 'opening',
    corners: 'mitre',
    mitreLimit: 4,
    pierced: 0,
    tools: { beam: 0, piercing: 0, clearance: 0.3 },
  });
  const variance = placedSd ** 2;
  const field = {
    centre: { x: 0, y: 0 },
    levers: [],
    covariance: [
      [variance, 0],
      [0, variance],
    ],
    cutSd: 0,
    halfKerfSd: sd,
  };
  return neededForJob({ edges: losing(edges, loss), field, acceptedRisk, draws: 4096 });
};

/** The same by simulation: a shift, and an error of each of the four sides of each square. */
const simulated = (squares: number, placedSd: number, acceptedRisk: number): number => {
  const random = createRandom(`sides of ${squares}`);
  const trials = 20_000;
  const asked = Float64Array.from({ length: trials }, () => {
    const [x, y] = [placedSd * random.normal(), placedSd * random.normal()];
    let most = Number.NEGATIVE_INFINITY;
    for (const shift of [x, -x, y, -y])
      for (let i = 0; i < squares; i++) most = Math.max(most, shift + drawnSd * random.normal());
    return most;
  }).sort();
  return asked[Math.floor((1 - acceptedRisk) * trials)]!;
};

describe('Edges that are known with an sd, each side erring by itself', () => {
  it.each([
    [1, 0.1, 0.05],
    [1, 0.009, 0.05],
    [5, 0.1, 0.05],
    [20, 0.3, 0.05],
    [20, 0.1, 0.05],
    [20, 0.03, 0.05],
    [20, 0.1, 0.01],
    [20, 0.1, 0.45],
    [50, 0.1, 0.05],
    [50, 0.01, 0.5],
  ])(
    '%d squares placed with an sd of %d mm, accepted risk %d: never too little is asked for, and little too much',
    (squares, placedSd, acceptedRisk) => {
      const ratio = needed(squares, placedSd, acceptedRisk) / simulated(squares, placedSd, acceptedRisk);
      // The simulation's own sd of the quantile is about 0.5 %.
      expect(ratio).toBeGreaterThan(0.99);
      expect(ratio).toBeLessThan(acceptedRisk > 0.3 ? 1.35 : 1.2);
    },
  );
});
