/** Single steps of the fit, held against tables or against what can be worked out by hand. */
import { describe, expect, it } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import { mostSuspect } from '../../src/fit/doubts/suspicion.js';
import type { Fit } from '../../src/fit/fit.js';
import { linearPart } from '../../src/fit/solve/closed-form.js';
import { type Placement, placed, turnOf } from '../../src/fit/solve/placement.js';
import { freeMotion } from '../../src/fit/touches/free-motion.js';
import { fitMixed } from '../../src/fit/touches/mixed-fit.js';
import { costOf, roughReadings } from '../../src/fit/touches/rough-fit.js';
import { fitsTouches } from '../../src/fit/touches/touch-pattern.js';
import { apply, compose, rotation, scaling, translation } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';
import { workshop } from '../cli/workshop.js';
import { edgeOf, polygon } from './touch-scenes.js';

const suspected = (normalized: number, degrees: number | 'known' | 'none', redundancy: number): number => {
  const fit = { redundancy, marks: [{ mark: 'A', normalized: { x: normalized } }] } as unknown as Fit;
  return mostSuspect(fit, degrees)!.pValue;
};

describe('the probability of a normalized residual by chance', () => {
  // Two-sided quantiles as in any table: normal 3.2905 and 1.9600, Student with 4 degrees 2.7764, with 9 degrees 3.2498.
  it('is that of the normal distribution for a known sd, to either side', () => {
    expect(suspected(3.2905, 'known', 4)).toBeCloseTo(0.001, 6);
    expect(suspected(-1.95996, 'known', 4)).toBeCloseTo(0.05, 5);
  });

  it('is that of Student for an sd with degrees of freedom, to either side', () => {
    expect(suspected(2.7764, 4, 4)).toBeCloseTo(0.05, 5);
    expect(suspected(-3.2498, 9, 4)).toBeCloseTo(0.01, 5);
  });

  it("follows from Pope's tau where the same residuals give the sd", () => {
    // tau = t sqrt(r) / sqrt(r - 1 + t^2), A. J. Pope 1976: r = 5, t of Student with 4 degrees.
    const tau = (2.7764 * Math.sqrt(5)) / Math.sqrt(4 + 2.7764 ** 2);
    expect(suspected(tau, 'none', 5)).toBeCloseTo(0.05, 5);
    expect(suspected(-tau, 'none', 5)).toBeCloseTo(0.05, 5);
    expect(suspected(1, 'none', 1)).toBe(1);
    expect(suspected(Math.sqrt(5), 'none', 5)).toBe(0);
  });
});

describe('the cost of a rough placement', () => {
  it('is the squared distance of each mark over its variance, the geometric mean of those of its axes', () => {
    const readings = roughReadings({
      marks: [{ from: { x: 10, y: 0 }, to: { x: 500, y: 300 }, sd: { x: 2, y: 8 } }],
      touches: [],
    });
    // The mark is put at (13, 4): 5 mm from where it is drawn, at an sd of 4 mm.
    expect(costOf({ turn: 0, at: { x: 13, y: 4 } }, readings)).toBeCloseTo(25 / 16, 12);
    expect(costOf({ turn: 1, at: { x: 10, y: 0 } }, readings)).toBe(0);
  });
});

describe('the closed form', () => {
  const square: readonly Point[] = [
    { x: 1, y: 0 },
    { x: 0, y: 1 },
    { x: -1, y: 0 },
    { x: 0, y: -1 },
  ];
  const pairs = (size: number, to: (p: Point) => Point) =>
    square.map((from) => ({ from: { x: size * from.x, y: size * from.y }, to: to(from), weight: 1 }));
  const turned = (size: number) => (p: Point) => apply(compose(scaling(size, size), rotation(0.3)), p);
  const mirrored = (size: number) => (p: Point) => ({ x: -size * p.x + 1e-9 * size, y: size * p.y });

  it('finds a turn whatever the sizes of both sides, and none in a mirror image', () => {
    for (const from of [1e-4, 1, 1e5]) {
      for (const to of [1e-6, 1, 1e5]) {
        expect(linearPart('rigid', pairs(from, turned(to)))![1]).toBeCloseTo(Math.sin(0.3), 12);
        const blurred = pairs(from, mirrored(to)).map((p, i) => ({
          ...p,
          to: { x: p.to.x * (1 + 1e-12 * i), y: p.to.y },
        }));
        expect(linearPart('rigid', blurred)).toBeUndefined();
      }
    }
  });
});

describe('what the readings leave free', () => {
  it('is the turn about the only mark that was read, however the part lies', () => {
    for (const angle of [0, 0.5, 2, -1.2]) {
      const placement: Placement = {
        model: 'rigid',
        centre: { x: 100, y: 50 },
        anchor: { x: 700, y: 400 },
        linear: turnOf(angle),
      };
      const from = { x: 160, y: 20 };
      const to = placed(placement, from);
      const motion = freeMotion(
        { placement },
        { marks: [{ from, to, sd: { x: 1, y: 1 } }], touches: [] },
        { dilution: 1e6 },
      );
      expect(motion?.kind).toBe('turn');
      if (motion?.kind !== 'turn') continue;
      // The change is of a millimetre, not of nothing: its chord counts.
      expect(Math.abs(motion.about.x - to.x)).toBeLessThan(1);
      expect(Math.abs(motion.about.y - to.y)).toBeLessThan(1);
    }
  });
});

describe('an adjustment that starts at the truth', () => {
  // A comb of teeth 8 mm apart: from a start of another size the touches fall on other teeth.
  const corners: [number, number][] = [[-200, -60]];
  for (let x = -200; x < 200; x += 16) corners.push([x, 0], [x + 8, 0], [x + 8, 40], [x + 16, 40]);
  corners.push([200, -60]);
  const edge = edgeOf('comb', polygon(...corners));

  it('stays there, for each model and turn', () => {
    for (const turn of [0, 0.7, -2.5]) {
      for (const size of [1, 1.3]) {
        const truth = compose(translation(500, 300), compose(rotation(turn), scaling(size, size)));
        const touches = [-184, -120, -56, -8, 24, 72, 136, 184].flatMap((x, i) => [
          { edge, to: [apply(truth, { x, y: 5 + 4 * i })], sd: 0.05 },
          { edge, to: [apply(truth, { x: x + 8, y: 7 + 3 * i })], sd: 0.05 },
          { edge, to: [apply(truth, { x: x - 5, y: 40 })], sd: 0.05 },
        ]);
        const [cos, sin] = turnOf(turn);
        const start: Placement = {
          model: 'similarity',
          centre: { x: 0, y: 0 },
          anchor: { x: 500, y: 300 },
          linear: [size * cos, size * sin, -size * sin, size * cos],
        };
        const found = fitMixed('similarity', { marks: [], touches }, start);
        expect(found.ok).toBe(true);
        if (!found.ok) continue;
        expect(found.placement.linear[0]).toBeCloseTo(size * cos, 9);
        expect(found.placement.linear[1]).toBeCloseTo(size * sin, 9);
        expect(found.solved.weightedSquares).toBeLessThan(1e-12);
      }
    }
  });
});

describe('placements that touches cannot tell apart', () => {
  it('of a square are named with the place about which each is turned: its middle', async () => {
    const shop = workshop();
    shop.write(
      'square.svg',
      '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100"><g id="openings"><circle cx="50" cy="50" r="9"/></g><rect id="outline" width="100" height="100"/></svg>',
    );
    const truth = compose(translation(300, 200), rotation(0.2));
    const touches = (
      [
        [20, 0],
        [80, 0],
        [100, 30],
        [70, 100],
        [0, 60],
      ] as const
    ).map(([x, y]) => {
      const p = apply(truth, { x, y });
      return `  - {on: outline, at: [${p.x.toFixed(4)}, ${p.y.toFixed(4)}]}`;
    });
    shop.write(
      'square.yaml',
      `drawing: square.svg\ntouches:\n${touches.join('\n')}\nfit: {reading-sd: 0.05}\n`,
    );
    const { status, err } = await shop.call('fit', 'square.yaml');
    expect(status).toBe(3);
    const said = err.replace(/\s+/g, ' ');
    const middle = apply(truth, { x: 50, y: 50 });
    const turns = [...said.matchAll(/turned by (\d+\.\d) degrees about \(?(-?[\d.]+), (-?[\d.]+)/g)];
    expect(turns.map(([, degrees]) => degrees).sort()).toEqual(['180.0', '270.0', '90.0']);
    for (const [, , x, y] of turns) {
      expect(Number(x)).toBeCloseTo(middle.x, 0);
      expect(Number(y)).toBeCloseTo(middle.y, 0);
    }
  });
});

describe('a half turn that the marks allow', () => {
  it('is ruled out by a touch that then lies too far from its edge, and by no nearer one', () => {
    const options = { model: 'rigid', readingSd: 0.1, readingSdDof: 6, markSd: 0 } as const;
    const fits = (off: number): boolean => {
      const edge = edgeOf('outline', polygon([-150, -50], [150, -50], [150, 50 + off], [-150, 50 + off]));
      const bed = (x: number, y: number) => ({ x: x + 400, y: y + 300 });
      const observations = [-100, 100].map((x) => ({
        mark: `mark ${x}`,
        design: { x, y: 0 },
        readings: [bed(x, 0)],
      }));
      const touches = [{ touch: 'touch 1 on outline', edge, readings: [bed(0, 50 + off)] }];
      const outcome = adjust(observations, options, touches);
      if (!outcome.ok) throw new Error(outcome.failure.reason);
      return fitsTouches(
        outcome.fit,
        observations,
        touches,
        options,
      )({ kind: 'half-turn', image: [1, 0], miss: 0 });
    };
    // Turned, the touch is `off` from the other edge; the shift of least squares takes a third of it, so the sum of
    // squares is 2/3 (off / sd)^2. With 6 degrees behind the sd and 5 rows the readings are a thousand times less
    // probable from 6 (1000^(2 / 11) - 1) on: 4.75 sds.
    const limit = 0.1 * Math.sqrt(1.5 * 6 * (Math.exp((2 / 11) * Math.log(1000)) - 1));
    expect(limit).toBeCloseTo(0.4755, 3);
    expect([fits(0), fits(limit - 0.005), fits(limit + 0.005)]).toEqual([true, true, false]);
  });
});
