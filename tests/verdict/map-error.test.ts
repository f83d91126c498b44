import { describe, expect, test } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import type { Observation } from '../../src/fit/fit.js';
import { mapErrors } from '../../src/fit/solve/map-error.js';
import { apply, compose, type Matrix, rotation, translation } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';
import type { Model } from '../../src/job/job.js';
import { displayToTrue, trueToPointer } from '../../src/marks/frames.js';
import { createRandom } from '../../src/numeric/random.js';
import { checkJob, loadJob } from '../../src/reseat.js';
import { drawErrors } from '../../src/verdict/risk/draws.js';
import { approachCoefficients, errorField, wholeCovariance } from '../../src/verdict/risk/error-field.js';

const bedMap = { scale: [1.001, 0.9995], skew: 0.0006 } as const;
const bedMapSd = { scale: [0.0003, 0.0002], skew: 0.0004 } as const;
const marks: readonly Point[] = [
  { x: 20, y: 20 },
  { x: 580, y: 30 },
  { x: 560, y: 380 },
];
const places: readonly { at: Point; normal: Point }[] = [
  { at: { x: 40, y: 350 }, normal: { x: -1, y: 0 } },
  { at: { x: 300, y: 390 }, normal: { x: 0, y: 1 } },
  { at: { x: 590, y: 200 }, normal: { x: 0.6, y: -0.8 } },
];

/** A bed whose map differs from the profile's by errors with these sds. */
const trueBed = (random: () => number) => ({
  axes: 'y-up' as const,
  bedMap: {
    scale: [
      bedMap.scale[0] + bedMapSd.scale[0] * random(),
      bedMap.scale[1] + bedMapSd.scale[1] * random(),
    ] as const,
    skew: bedMap.skew + bedMapSd.skew * random(),
  },
});

const profile = { axes: 'y-up' as const, bedMap, bedMapSd };

const turns = [
  ['unturned', 0],
  ['turned by 30 degrees', Math.PI / 6],
  ['turned by 90 degrees', Math.PI / 2],
] as const;

describe('What the bed map may be out by', () => {
  test.each(
    (['shift', 'rigid', 'similarity'] as const).flatMap((model) =>
      turns
        // A shift cannot follow a turn at all.
        .filter(([, angle]) => model !== 'shift' || angle === 0)
        .map(([how, angle]) => [model, how, angle] as const),
    ),
  )('moves the cut as simulated beds do: %s fit, panel %s', (model: Model, _how, angle) => {
    const random = createRandom(`map ${model} ${angle}`);
    const lies: Matrix = compose(translation(500, 120), rotation(angle));
    const readingSd = 0.02;
    const options = { model, readingSd, markSd: 0 };
    const read = (bed: ReturnType<typeof trueBed>, noise: () => number): Observation[] =>
      marks.map((design, i) => {
        const shown = trueToPointer(bed)(apply(lies, design));
        const seen = { x: shown.x + noise(), y: shown.y + noise() };
        return { mark: `M${i}`, design, readings: [displayToTrue(profile)(seen)] };
      });
    const exact = read(profile, () => 0);
    const plain = adjust(exact, options);
    if (!plain.ok) throw new Error(plain.failure.reason);
    const machine = mapErrors({ observations: exact, touches: [], options, fit: plain.fit }, profile);
    const field = errorField(plain.fit, { cutSd: 0, kerfSd: 0, machine })!;
    const covariance = wholeCovariance(field);
    const normalAt = ({ x, y }: Point): Point => ({
      x: Math.cos(angle) * x - Math.sin(angle) * y,
      y: Math.sin(angle) * x + Math.cos(angle) * y,
    });
    const stated = places.map(({ at, normal }) => {
      const g = approachCoefficients(field, apply(lies, at), normalAt(normal));
      return g.reduce((sum, gi, i) => sum + gi * covariance[i]!.reduce((row, c, j) => row + c * g[j]!, 0), 0);
    });
    const trials = 6000;
    const squares = places.map(() => 0);
    for (let trial = 0; trial < trials; trial++) {
      const bed = trueBed(() => random.normal());
      const outcome = adjust(
        read(bed, () => readingSd * random.normal()),
        options,
      );
      if (!outcome.ok) throw new Error(outcome.failure.reason);
      places.forEach(({ at, normal }, i) => {
        // Sent where the profile's map says, burnt where the bed really is.
        const sent = trueToPointer(profile)(apply(outcome.fit.matrix, at));
        const burnt = displayToTrue(bed)(sent);
        const wanted = apply(lies, at);
        const n = normalAt(normal);
        squares[i]! += (n.x * (burnt.x - wanted.x) + n.y * (burnt.y - wanted.y)) ** 2;
      });
    }
    squares.forEach((sum, i) => {
      // The sd of a variance from 6,000 values is 1.8 %.
      expect(sum / trials / stated[i]!).toBeGreaterThan(0.93);
      expect(sum / trials / stated[i]!).toBeLessThan(1.07);
    });
    // The draws of the risk have the same covariance.
    const draws = drawErrors(field, 4096);
    const [first] = places;
    const g = approachCoefficients(field, apply(lies, first!.at), normalAt(first!.normal));
    let mean = 0;
    for (let j = 0; j < draws.count; j++) {
      const parts = [draws.shiftX[j]!, draws.shiftY[j]!, ...draws.lever.map((l) => l[j]!)];
      mean += parts.reduce((sum, part, k) => sum + part * g[k]!, 0) ** 2 / draws.count;
    }
    // Directions have length 1: of a standard normal vector's squared length each holds one part in its dimensions.
    const drawn = mean * field.covariance.length;
    expect(drawn / stated[0]!).toBeGreaterThan(0.95);
    expect(drawn / stated[0]!).toBeLessThan(1.05);
  });

  test('is absorbed by an affine fit', () => {
    const options = { model: 'affine' as const, readingSd: 0.02, markSd: 0 };
    const observations = [...marks, { x: 30, y: 370 }].map((design, i) => ({
      mark: `M${i}`,
      design,
      readings: [design],
    }));
    const outcome = adjust(observations, options);
    if (!outcome.ok) throw new Error(outcome.failure.reason);
    for (const d of mapErrors({ observations, touches: [], options, fit: outcome.fit }, profile)) {
      for (const { at } of places) {
        const miss = apply(d, at);
        expect(Math.hypot(miss.x, miss.y)).toBeLessThan(1e-9);
      }
    }
  });

  const drawing = `<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="400mm" viewBox="0 0 600 400">
    <g id="openings"><circle id="far" cx="570" cy="30" r="20"/></g><rect id="outline" width="600" height="400"/></svg>`;
  const checked = (machine: string) => {
    const text = [
      'drawing: panel.svg',
      `machine: ${machine}`,
      'marks: {A: [20, 20], B: [580, 20], C: [300, 380]}',
      'readings: {A: [20, 20], B: [580, 20], C: [300, 380]}',
      'fit: {reading-sd: 0.05}',
    ].join('\n');
    const done = checkJob(
      loadJob({ path: 'job.yaml', text }, { read: () => new TextEncoder().encode(drawing) }),
    );
    if (!done.ok) throw new Error(done.failure.reason);
    return done.check;
  };

  test('counts in the needed clearance where the profile states it, and only there', () => {
    const without = checked('{bed-map: {scale: [1, 1], skew-mrad: 0}}');
    const same = checked('{}');
    const known = checked('{bed-map-sd: {scale: [0.0004, 0.0004], skew-mrad: 0.4}}');
    expect(without.neededClearance).toBe(same.neededClearance);
    expect(known.neededClearance!).toBeGreaterThan(1.2 * same.neededClearance!);
    expect(known.risk!).toBeGreaterThan(same.risk!);
    const none = checked('{bed-map-sd: {scale: [0, 0], skew-mrad: 0}}');
    expect(none.neededClearance! / same.neededClearance!).toBeCloseTo(1, 2);
  });

  test('of the beam offset counts as a shift of the whole cut', () => {
    const stated = checked('{beam-offset: [0, 0], beam-offset-sd: 0.08}');
    const asCut = checked('{cut-sd: 0.08}');
    expect(stated.neededClearance).toBe(asCut.neededClearance);
    expect(stated.neededClearance!).toBeGreaterThan(checked('{}').neededClearance!);
  });
});
