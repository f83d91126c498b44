import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import type { Fit, FitOptions, Observation } from '../../src/fit/fit.js';
import { changed, type Placement, turnOf, unknownsOf } from '../../src/fit/solve/placement.js';
import { fittedPosition, positionCovariance } from '../../src/fit/solve/position.js';
import { misclosureOf, touchRow } from '../../src/fit/touches/touch-rows.js';
import type { TouchContext } from '../../src/fit/touches/touch-words.js';
import { reviewFit } from '../../src/fit/warnings.js';
import { apply, compose, type Matrix, mirrorX, rotation, translation } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';
import type { Model } from '../../src/job/job.js';
import type { TouchEdge } from '../../src/marks/touch-edge.js';
import type { TouchReadings } from '../../src/marks/touches.js';
import { createRandom } from '../../src/numeric/random.js';
import {
  along,
  circle,
  edgeOf,
  placement,
  polygon,
  reading,
  spreadShares,
  touchesAlong,
  wavy,
} from './touch-scenes.js';

const runs = { seed: 20261125, numRuns: 40 };
const seeds = fc.integer({ min: 0, max: 1e9 });
const models: readonly Model[] = ['shift', 'rigid', 'similarity', 'affine'];

const outcomeOf = (
  touches: readonly TouchReadings[],
  observations: readonly Observation[] = [],
  options: Partial<FitOptions> = {},
  context: TouchContext = {},
) => adjust(observations, { model: 'rigid', readingSd: 0.1, markSd: 0, ...options }, touches, context);

const fitOf = (...given: Parameters<typeof outcomeOf>): Fit => {
  const outcome = outcomeOf(...given);
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  return outcome.fit;
};

const failureOf = (...given: Parameters<typeof outcomeOf>): string => {
  const outcome = outcomeOf(...given);
  if (outcome.ok) throw new Error('a fit was found');
  return `${outcome.failure.reason} ${outcome.failure.cure}`;
};

const warningsOf = (touches: readonly TouchReadings[], observations: readonly Observation[] = []) =>
  reviewFit(observations, { model: 'rigid', readingSd: 0.1, markSd: 0 }, outcomeOf(touches, observations), {
    touches,
  });

const truth = placement(0.7);
const exact = (at: Point): Point => apply(truth, at);
const back = (p: Point): Point => apply(compose(rotation(-0.7), translation(-700, -500)), p);
const noisy = (seed: string, sd = 0.1, matrix: Matrix = truth) => {
  const random = createRandom(seed);
  return (at: Point): Point => reading(matrix, at, random, sd);
};
const markAt = (mark: string, design: Point, read = exact): Observation => ({
  mark,
  design,
  readings: [read(design)],
});

const uneven = edgeOf('outline', polygon([0, 0], [500, 20], [560, 330], [30, 300]));
const rectangle = edgeOf('outline', polygon([0, 0], [600, 0], [600, 400], [0, 400]));
const square = edgeOf('outline', polygon([0, 0], [400, 0], [400, 400], [0, 400]));
const disc = edgeOf('outline', circle({ x: 200, y: 200 }, 150));
const evenly = [0.05, 0.18, 0.31, 0.44, 0.57, 0.69, 0.8, 0.93];
const left = { x: 30, y: 40 };
const right = { x: 470, y: 60 };

describe('the row of a touch', () => {
  const random = createRandom('rows');
  const at = (edge: TouchEdge) => {
    const q = along(edge, random.uniform());
    return { x: q.x + 0.5 * random.normal(), y: q.y + 0.5 * random.normal() };
  };
  const linear = (model: Model): Placement['linear'] => {
    const [cos, sin] = turnOf(0.8);
    if (model === 'shift') return [1, 0, 0, 1];
    if (model === 'rigid') return [cos, sin, -sin, cos];
    if (model === 'similarity') return [1.01 * cos, 1.01 * sin, -1.01 * sin, 1.01 * cos];
    return [1.01 * cos, 0.98 * sin, -1.02 * sin, 0.99 * cos];
  };
  const edges = {
    'a straight edge': edgeOf('line', polygon([0, 0], [100, 10], [50, 80])),
    'a drawn circle': edgeOf('circle', circle({ x: 50, y: 30 }, 25), { hole: true, setBack: 0.1 }),
    'a rim of unknown radius': edgeOf('rim', circle({ x: 50, y: 30 }, 25), { hole: true, radius: 'unknown' }),
  };

  it.each(models.flatMap((model) => Object.keys(edges).map((name) => [name, model] as const)))(
    'on %s is the derivative of its residual by the unknowns of a %s placement',
    (name, model) => {
      const edge = edges[name as keyof typeof edges];
      const start: Placement = {
        model,
        centre: { x: 40, y: 30 },
        anchor: { x: 300, y: 200 },
        linear: linear(model),
      };
      const [a, b, c, d] = start.linear;
      const q = at(edge);
      const p = { x: 300 + a * (q.x - 40) + c * (q.y - 30), y: 200 + b * (q.x - 40) + d * (q.y - 30) };
      const span = edge.index.nearest(q.x, q.y);
      const isRim = edge.rim !== undefined;
      const rims = { column: isRim ? 0 : -1, radii: isRim ? [25] : [] };
      const { design } = touchRow(start, { edge, to: [p], sd: 1 }, [span], rims);
      const residual = (s: Placement, radius: number) => misclosureOf(s, edge, p, span, radius).residual;
      const step = 1e-6;
      for (let k = 0; k < unknownsOf[model]; k++) {
        const change = (size: number) =>
          Array.from({ length: unknownsOf[model] }, (_, i) => (i === k ? size : 0));
        const slope =
          (residual(changed(start, change(step)), 25) - residual(changed(start, change(-step)), 25)) /
          (2 * step);
        expect(Math.abs(-design[k]! - slope)).toBeLessThan(5e-6);
      }
      if (isRim) {
        const slope = (residual(start, 25 + step) - residual(start, 25 - step)) / (2 * step);
        expect(-design[unknownsOf[model]]!).toBeCloseTo(slope, 6);
      }
    },
  );
});

describe('touches alone', () => {
  it('place a part exactly where they are exact, from any turn', () => {
    fc.assert(
      fc.property(seeds, fc.double({ min: -3.1, max: 3.1, noNaN: true }), (seed, turn) => {
        const random = createRandom(`exact ${seed}`);
        const matrix = placement(turn);
        const edge = edgeOf('outline', wavy(random, 120, 0.1));
        const touches = touchesAlong(edge, spreadShares(8, random), (at) => apply(matrix, at));
        const fit = fitOf(touches);
        for (const q of [left, right]) {
          const expected = apply(matrix, q);
          const fitted = fittedPosition(fit, q);
          expect(Math.hypot(fitted.x - expected.x, fitted.y - expected.y)).toBeLessThan(1e-6);
        }
        expect(fit.redundancy).toBe(5);
        expect(fit.rms).toBeLessThan(1e-7);
      }),
      { ...runs, numRuns: 12 },
    );
  });

  it('moving the readings rigidly moves the fit alike; their order does not matter', () => {
    fc.assert(
      fc.property(seeds, fc.double({ min: -3, max: 3, noNaN: true }), (seed, turn) => {
        const read = noisy(`laws ${seed}`);
        const move = compose(translation(-210, 80), rotation(turn));
        const touches = touchesAlong(uneven, evenly, read);
        const moved = touches.map((t) => ({ ...t, readings: t.readings.map((p) => apply(move, p)) }));
        const before = fitOf(touches);
        const after = fitOf(moved);
        const reversed = fitOf([...touches].reverse());
        for (const q of [left, right]) {
          const expected = apply(move, fittedPosition(before, q));
          expect(fittedPosition(after, q).x).toBeCloseTo(expected.x, 6);
          expect(fittedPosition(after, q).y).toBeCloseTo(expected.y, 6);
          expect(fittedPosition(reversed, q).x).toBeCloseTo(fittedPosition(before, q).x, 6);
        }
        expect(after.sumOfSquares).toBeCloseTo(before.sumOfSquares, 8);
        before.touches!.forEach((t, i) => {
          expect(after.touches![i]!.residual).toBeCloseTo(t.residual, 7);
          expect(reversed.touches![7 - i]!.redundancy).toBeCloseTo(t.redundancy, 9);
        });
      }),
      { ...runs, numRuns: 8 },
    );
  });

  it('their redundancy numbers sum to the redundancy, and each residual lies along the normal to its foot', () => {
    const fit = fitOf(touchesAlong(uneven, evenly, noisy('sum')));
    const sum = fit.touches!.reduce((total, t) => total + t.redundancy, 0);
    expect(sum).toBeCloseTo(fit.redundancy, 9);
    for (const { reading: at, foot, normal, residual, design, normalized, redundancy } of fit.touches!) {
      expect(at.x - foot.x).toBeCloseTo(residual * normal.x, 9);
      expect(at.y - foot.y).toBeCloseTo(residual * normal.y, 9);
      expect(uneven.index.distance(design.x, design.y)).toBeLessThan(1e-8);
      expect(normalized).toBeCloseTo(residual / (0.1 * Math.sqrt(redundancy)), 9);
    }
  });

  it('follow the model: shift, similarity and affine find what was done to the part', () => {
    const stretched = compose(placement(0.7), [1.004, 0, 0, 1.004, 0, 0]);
    const similarity = fitOf(
      touchesAlong(uneven, evenly, (at) => apply(stretched, at)),
      [],
      { model: 'similarity' },
    );
    expect(Math.hypot(similarity.matrix[0], similarity.matrix[1])).toBeCloseTo(1.004, 7);
    const leaning = compose(placement(0.7), [1.003, 0, 0.002, 0.998, 0, 0]);
    const shares = [...evenly, 0.12, 0.5, 0.62];
    const affine = fitOf(
      touchesAlong(uneven, shares, (at) => apply(leaning, at)),
      [],
      { model: 'affine' },
    );
    for (const [i, v] of affine.matrix.entries()) expect(v).toBeCloseTo(leaning[i]!, 5);
    const shift = fitOf(
      touchesAlong(uneven, evenly, (at) => ({ x: at.x + 12, y: at.y - 7 })),
      [],
      { model: 'shift' },
    );
    expect(shift.matrix[4]).toBeCloseTo(12, 8);
    expect(shift.matrix[5]).toBeCloseTo(-7, 8);
  });

  it('are not taken for those of a part larger, smaller or more slanted than any sheet becomes', () => {
    const shares = [...evenly, 0.12, 0.5, 0.62];
    const found = (model: Model, change: Matrix): boolean => {
      const matrix = compose(placement(0.7), change);
      const outcome = outcomeOf(
        touchesAlong(uneven, shares, (at) => apply(matrix, at)),
        [],
        { model, readingSd: 0.01 },
      );
      return outcome.ok && outcome.fit.matrix.every((v, i) => Math.abs(v - matrix[i]!) < 1e-3);
    };
    const scaled = (size: number): Matrix => [size, 0, 0, size, 0, 0];
    for (const size of [0.96, 1.04]) expect(found('similarity', scaled(size)), `${size}`).toBe(true);
    for (const size of [0.93, 1.07]) expect(found('similarity', scaled(size)), `${size}`).toBe(false);
    const changes: readonly [Matrix, Matrix][] = [
      [
        [1.04, 0, 0, 1, 0, 0],
        [1.07, 0, 0, 1, 0, 0],
      ],
      [
        [1, 0, 0, 0.96, 0, 0],
        [1, 0, 0, 0.93, 0, 0],
      ],
      [
        [1, 0, 0.04, 1, 0, 0],
        [1, 0, 0.07, 1, 0, 0],
      ],
      [
        [1, 0, -0.04, 1, 0, 0],
        [1, 0, -0.07, 1, 0, 0],
      ],
    ];
    // The slant is that of the angle, however large the part: its cosine 0.047.
    const slanted: Matrix = [1.04, 0, 1.04 * 0.047, 1.04 * Math.sqrt(1 - 0.047 ** 2), 0, 0];
    expect(found('affine', slanted)).toBe(true);
    for (const [possible, impossible] of changes) {
      expect(found('affine', possible), possible.join()).toBe(true);
      expect(found('affine', impossible), impossible.join()).toBe(false);
    }
  });

  it('tell that the part came back in another size', () => {
    const stretched = compose(placement(0.7), [1.004, 0, 0, 1.004, 0, 0]);
    const warnings = warningsOf(touchesAlong(uneven, evenly, noisy('size', 0.1, stretched)));
    expect(warnings.map((w) => w.code)).toContain('size-changed');
    expect(warningsOf(touchesAlong(uneven, evenly, noisy('no size')))).toEqual([]);
  });
});

describe('rims, corners and repeated readings', () => {
  it('three touches on a rim of unknown radius give its centre as a mark with their own sd would', () => {
    const rim = edgeOf('peg', circle(left, 4), { hole: true, radius: 'unknown' });
    const far = markAt('B', right);
    const third = markAt('C', { x: 250, y: 290 });
    const byRim = fitOf(touchesAlong(rim, [0.1, 0.1 + 1 / 3, 0.1 + 2 / 3], exact), [far, third]);
    // Variance of a centre from N even touches: 2 sd^2 / N.
    const sd = 0.1 * Math.sqrt(2 / 3);
    const plain = { x: 0.1, y: 0.1 };
    const marks = [
      { ...markAt('A', left), sd: { x: sd, y: sd } },
      { ...far, sd: plain },
      { ...third, sd: plain },
    ];
    const byMark = fitOf([], marks);
    const found = positionCovariance(byRim, left)!;
    const expected = positionCovariance(byMark, left)!;
    expect(found.xx).toBeCloseTo(expected.xx, 8);
    expect(found.xy).toBeCloseTo(expected.xy, 8);
    expect(found.yy).toBeCloseTo(expected.yy, 8);
    expect(byRim.rims![0]).toMatchObject({ on: 'peg' });
    expect(byRim.rims![0]!.radius).toBeCloseTo(4, 9);
  });

  it('a radius that is larger than drawn does no harm when it is unknown, or stated', () => {
    const bigger = (at: Point) =>
      exact({ x: left.x + 1.05 * (at.x - left.x), y: left.y + 1.05 * (at.y - left.y) });
    const marks = [markAt('B', right), markAt('C', { x: 250, y: 290 })];
    for (const radius of ['unknown', 4.2] as const) {
      const rim = edgeOf('peg', circle(left, 4), { hole: true, radius });
      const drawn = edgeOf('peg', circle(left, 4), { hole: true });
      const touches = touchesAlong(drawn, [0, 0.2, 0.35], bigger).map((t) => ({ ...t, edge: rim }));
      expect(fitOf(touches, marks).rms).toBeLessThan(1e-8);
      const asDrawn = fitOf(
        touches.map((t) => ({ ...t, edge: drawn })),
        marks,
      );
      expect(asDrawn.rms).toBeGreaterThan(0.05);
    }
  });

  it('two touches on each of two edges know their corner as two straight lines do', () => {
    const corner = edgeOf('outline', polygon([0, 0], [100, 0], [100, 80], [0, 80]));
    const shares = [10 / 360, 90 / 360, 345 / 360, 290 / 360];
    const fit = fitOf(touchesAlong(corner, shares, exact), [
      markAt('A', { x: 100, y: 80 }),
      markAt('B', { x: 0, y: 80 }),
    ]);
    const { xx, xy, yy } = positionCovariance(fit, { x: 0, y: 0 })!;
    expect(Math.sqrt(xx + yy)).toBeLessThan(0.12);
    expect(Math.abs(xy)).toBeLessThan(Math.sqrt(xx * yy));
    expect(fit.redundancy).toBe(5);
  });

  it('repeated readings need agree only across the edge, and each counts at its own place of a bent one', () => {
    const rim = edgeOf('moon', circle({ x: 250, y: 150 }, 30), { hole: true });
    const touches = [0, 0.25, 0.5, 0.75].map((share, i) => ({
      touch: `touch ${i + 1} on moon`,
      edge: rim,
      readings: [exact(along(rim, share)), exact(along(rim, share + 0.06)), exact(along(rim, share + 0.1))],
    }));
    const fit = fitOf(touches, [markAt('A', left)]);
    expect(fit.rms).toBeLessThan(1e-8);
    expect(fit.touches![0]!.across!.every((away) => Math.abs(away) < 1e-8)).toBe(true);
    const plain = fitOf(
      touches.map((t) => ({ ...t, readings: t.readings.slice(0, 1) })),
      [markAt('A', left)],
    );
    const ratio = fit.touches![0]!.smallestDetectable! / plain.touches![0]!.smallestDetectable!;
    expect(ratio).toBeLessThan(0.8);
  });

  it('their scatter across the edge joins a stated sd with degrees of freedom', () => {
    const pair = (t: TouchReadings, off: number): TouchReadings => {
      const [p] = t.readings;
      const n = { x: -Math.sin(0.7), y: Math.cos(0.7) };
      return {
        ...t,
        readings: [
          { x: p!.x + off * n.x, y: p!.y + off * n.y },
          { x: p!.x - off * n.x, y: p!.y - off * n.y },
        ],
      };
    };
    const touches = touchesAlong(rectangle, [0.05, 0.15, 0.52, 0.6], exact).map((t) => pair(t, 0.3));
    const marks = [markAt('A', left), markAt('B', right)];
    const fit = fitOf(touches, marks, { readingSdDof: 6 });
    // 6 x 0.01 and four pairs with 2 x 0.09 each, over 6 + 4; then the residuals, which are zero, add their redundancy.
    const pooled = (6 * 0.01 + 4 * 2 * 0.09) / 10;
    expect(fit.referenceSd).toBeCloseTo(Math.sqrt(pooled), 9);
    expect(fit.sd.usedDof).toBe(10 + fit.redundancy);
    expect(fit.sd.used).toBeCloseTo(Math.sqrt((10 * pooled) / (10 + fit.redundancy)), 9);
  });
});

describe('touches and marks together', () => {
  it('marks alone give what they gave without touches, to the last bit', () => {
    const marks = [markAt('A', left), markAt('B', right), markAt('C', { x: 250, y: 290 }, noisy('marks'))];
    const options: FitOptions = { model: 'rigid', readingSd: 0.1, markSd: 0.02 };
    expect(adjust(marks, options, [])).toEqual(adjust(marks, options));
    expect(adjust(marks, options, [])).toMatchObject({ ok: true, fit: { redundancy: 3 } });
    const outcome = adjust(marks, options, []);
    expect(outcome.ok && Object.keys(outcome.fit)).not.toContain('touches');
  });

  it('touches tighten what marks leave loose', () => {
    const read = noisy('tight');
    const marks = [markAt('A', left, read), markAt('B', { x: 80, y: 40 }, read)];
    const alone = fitOf([], marks);
    const both = fitOf(touchesAlong(uneven, [0.2, 0.45, 0.7], read), marks);
    const far = { x: 540, y: 320 };
    const size = (fit: Fit) => Math.sqrt(positionCovariance(fit, far)!.xx + positionCovariance(fit, far)!.yy);
    expect(size(both)).toBeLessThan(size(alone) / 5);
    const at = fittedPosition(both, far);
    expect(Math.hypot(at.x - exact(far).x, at.y - exact(far).y)).toBeLessThan(4 * size(both));
  });

  it('one mark and touches on a rectangle need no start', () => {
    const fit = fitOf(touchesAlong(rectangle, [0.1, 0.35, 0.6, 0.9], noisy('one')), [
      markAt('A', { x: 20, y: 50 }),
    ]);
    expect(Math.atan2(fit.matrix[1], fit.matrix[0])).toBeCloseTo(0.7, 2);
  });

  it('a regular pattern of marks is one no longer where touches rule the other ways out', () => {
    const marks = [markAt('A', left), markAt('B', right)];
    expect(warningsOf([], marks).map((w) => w.code)).toContain('ambiguous-pattern');
    expect(warningsOf(touchesAlong(uneven, evenly, exact), marks)).toEqual([]);
    const symmetric = [markAt('A', { x: 20, y: 200 }), markAt('B', { x: 580, y: 200 })];
    const warnings = warningsOf(touchesAlong(rectangle, evenly, exact), symmetric);
    expect(warnings.map((w) => w.code)).toEqual(['ambiguous-pattern']);
  });
});

describe('what touches leave open is said, not chosen', () => {
  const leaf = edgeOf('leaf', polygon([100, 100], [150, 100], [140, 150]), { hole: true });

  it('a rectangle: half a turn, and what to touch to tell', () => {
    const text = failureOf(
      touchesAlong(rectangle, evenly, noisy('rectangle')),
      [],
      {},
      {
        touchable: () => [rectangle, leaf],
      },
    );
    expect(text).toMatch(
      /^Eight touches fit two placements equally well: turned by 1(79\.9|80\.[01]) degrees about \(\d+\.\d, \d+\.\d\)\./,
    );
    expect(text).toMatch(/To tell, drive the pointer to \(\d+\.\d, \d+\.\d\): leaf has an edge there if/);
  });

  it('a square: quarter turns', () => {
    const text = failureOf(touchesAlong(square, evenly, noisy('square')));
    expect(text).toMatch(/four placements equally well: turned by (90\.0|89\.9|90\.1)/);
    expect(text).toMatch(/No drawn edge tells them apart/);
  });

  it('a start stated on two touches decides, and that is said', () => {
    for (const turned of [false, true]) {
      const touches = touchesAlong(rectangle, evenly, noisy('start')).map((t, i) => {
        const at = back(t.readings[0]!);
        const about = turned ? { x: 600 - at.x, y: 400 - at.y } : at;
        return i < 2 ? { ...t, start: { x: about.x + 25, y: about.y - 30 } } : t;
      });
      const fit = fitOf(touches);
      const turn = Math.atan2(fit.matrix[1], fit.matrix[0]);
      expect(turn).toBeCloseTo(turned ? 0.7 - Math.PI : 0.7, 2);
      const [warning] = warningsOf(touches);
      expect(warning).toMatchObject({ code: 'ambiguous-pattern' });
      expect(warning!.message).toMatch(/what was stated as start decided/);
    }
  });

  it('a touch on an opening decides as well', () => {
    const touches = [...touchesAlong(rectangle, evenly, exact), ...touchesAlong(leaf, [0.2], exact, 9)];
    expect(Math.atan2(fitOf(touches).matrix[1], fitOf(touches).matrix[0])).toBeCloseTo(0.7, 6);
  });

  it('touches on one straight edge: it could slide', () => {
    const text = failureOf(touchesAlong(rectangle, [0.02, 0.06, 0.1, 0.15, 0.2, 0.28], noisy('slide')));
    expect(text).toMatch(/could slide at 40 degrees to the x axis .* Touch an edge that runs across it/);
  });

  it('touches on two parallel edges: it could slide', () => {
    expect(failureOf(touchesAlong(rectangle, [0.02, 0.1, 0.2, 0.52, 0.6, 0.7], noisy('slide')))).toMatch(
      /could slide/,
    );
  });

  it('a disc: it could turn about its centre', () => {
    const centre = exact({ x: 200, y: 200 });
    const text = failureOf(touchesAlong(disc, evenly, exact));
    expect(text).toContain(`could turn about (${centre.x.toFixed(1)}, ${centre.y.toFixed(1)})`);
  });

  it('too few for the unknowns, radii counted in', () => {
    expect(failureOf(touchesAlong(uneven, [0.1, 0.4], exact))).toBe(
      'Two touches give 2 coordinates, and a rigid fit has 3 unknowns. Touch at least one more place, better four, on edges that run different ways, or read a mark.',
    );
    const rim = edgeOf('peg', circle(left, 4), { hole: true, radius: 'unknown' });
    expect(
      failureOf(touchesAlong(rim, [0, 0.3], exact), [markAt('A', right)], { model: 'similarity' }),
    ).toMatch(/4 coordinates, and a similarity fit has 5 unknowns, one of them a radius/);
  });

  it('three touches on the outline alone fit in many ways', () => {
    const edge = edgeOf('outline', wavy(createRandom('three'), 100, 0.1));
    expect(failureOf(touchesAlong(edge, [0.1, 0.4, 0.8], exact))).toMatch(/placements equally well/);
  });
});

describe('the face that is up', () => {
  const even = edgeOf('outline', polygon([0, 0], [600, 0], [500, 400], [100, 400]));
  const leaf = edgeOf('leaf', polygon([100, 100], [150, 100], [140, 150]), { hole: true });
  const warned = (touches: readonly TouchReadings[]) => {
    const outcome = outcomeOf(touches, [], {}, { touchable: () => [even, leaf] });
    return reviewFit([], { model: 'rigid', readingSd: 0.1, markSd: 0 }, outcome, { touches });
  };

  it('is what an outline with an axis of symmetry does not tell, and that is said with a place to look at', () => {
    const warnings = warned(touchesAlong(even, evenly, noisy('trapezium')));
    expect(warnings.map((w) => w.code)).toEqual(['ambiguous-pattern']);
    expect(warnings[0]!.message).toMatch(
      /^The touches fit as well with the part on its other face; what the job says of its face decided\. Look at the part; or drive the pointer to \(\d+\.\d, \d+\.\d\): leaf has an edge there/,
    );
  });

  it('is told by a touch beside the axis, by a stated start, or by an uneven outline', () => {
    expect(
      warned([...touchesAlong(even, evenly, exact), ...touchesAlong(leaf, [0.1, 0.5], exact, 9)]),
    ).toEqual([]);
    const started = touchesAlong(even, evenly, exact).map((t) => {
      const at = back(t.readings[0]!);
      return { ...t, start: { x: at.x + 10, y: at.y - 10 } };
    });
    expect(warned(started)).toEqual([]);
    expect(warned(touchesAlong(uneven, evenly, exact))).toEqual([]);
  });
});

describe('marks that lie close together', () => {
  it('are not believed about the turn: touches far away still find their place', () => {
    const teeth = edgeOf(
      'outline',
      polygon(
        ...Array.from({ length: 120 }, (_, i): [number, number] => {
          const t = (Math.PI * i) / 60;
          const r = 1 + 0.08 * Math.cos(2 * t + 1) + (i % 2) * 0.03;
          return [300 * r * Math.cos(t), 220 * r * Math.sin(t)];
        }),
      ),
    );
    for (let seed = 0; seed < 8; seed++) {
      const read = noisy(`close ${seed}`);
      const marks = [markAt('A', { x: -200, y: 0 }, read), markAt('B', { x: -188, y: 0 }, read)];
      const fit = fitOf(touchesAlong(teeth, [0.01, 0.08, 0.2, 0.33, 0.47, 0.62, 0.8, 0.93], read), marks);
      const at = fittedPosition(fit, { x: 300, y: 0 });
      const real = exact({ x: 300, y: 0 });
      expect(Math.hypot(at.x - real.x, at.y - real.y)).toBeLessThan(0.6);
    }
  });
});

describe('a touch that was not where it is said to be', () => {
  const slipped = (by: number) =>
    touchesAlong(uneven, evenly, noisy('slip')).map((t, i) =>
      i === 2 ? { ...t, readings: [{ x: t.readings[0]!.x + by, y: t.readings[0]!.y + 0.3 * by }] } : t,
    );

  it('by a millimetre is named', () => {
    const warning = warningsOf(slipped(-1)).find((w) => w.code === 'suspect-reading');
    expect(warning).toMatchObject({ marks: ['touch 3 on outline'] });
    expect(warning!.message).toMatch(
      /^Touch 3 on outline does not fit the others: it lies [01]\.\d+ mm from that edge\./,
    );
  });

  it('by 100 mm is refused by name, with marks and without', () => {
    expect(failureOf(slipped(-100))).toMatch(
      /^Touch 3 on outline lies \d\d\.\d+ mm from that edge where the other readings put it/,
    );
    const marks = [markAt('A', left), markAt('B', right)];
    expect(failureOf(slipped(-100), marks)).toMatch(
      /^Touch 3 on outline lies \d+\.\d+ mm from that edge where the marks put it/,
    );
  });

  it('with the part on its other face is told', () => {
    const lopsided = edgeOf(
      'outline',
      polygon([0, 0], [600, 0], [600, 150], [250, 150], [250, 400], [0, 400]),
    );
    const over = compose(placement(0.7), mirrorX);
    expect(failureOf(touchesAlong(lopsided, evenly, noisy('face', 0.1, over)))).toMatch(/face: down/);
  });

  it('two readings of one touch that lie apart across the edge are named', () => {
    const touches = touchesAlong(uneven, evenly, exact).map((t, i) =>
      i === 0
        ? { ...t, readings: [t.readings[0]!, { x: t.readings[0]!.x - 3, y: t.readings[0]!.y + 3 }] }
        : t,
    );
    const warning = warningsOf(touches).find((w) => w.code === 'suspect-reading');
    expect(warning!.message).toMatch(
      /^The two readings of touch 1 on outline lie up to \d\.\d+ mm apart across/,
    );
  });
});
