import { describe, expect, test } from 'vitest';
import { apply, identity, mirrorX } from '../../src/geometry/affine.js';
import { distance } from '../../src/geometry/point.js';
import { InputError } from '../../src/job/messages.js';
import { createRandom } from '../../src/numeric/random.js';
import { refuseStrayWitness } from '../../src/verdict/advice/stray-witness.js';
import { unseenBy } from '../../src/verdict/advice/unseen.js';
import { witnessPoints } from '../../src/verdict/advice/witness.js';
import { fitOf, panelMarks, readingsOf, turned } from './jobs.js';
import { circle, leafPath, polygon, rectangle, shapeOf, starPoints } from './shapes.js';

const shapes = [
  shapeOf('leaf', [leafPath({ x: 100, y: 100 }, { x: 160, y: 130 }, 15)]),
  polygon('star', starPoints({ x: 500, y: 320 }, 30, 12, 5)),
  rectangle('sill', 60, 300, 100, 20),
  circle('moon', { x: 300, y: 200 }, 40),
  circle('peg', { x: 520, y: 60 }, 2.5),
];

describe('witness points', () => {
  const fit = fitOf(readingsOf(), { readingSd: 0.1 });

  test('three to five corners or small holes of openings far apart, placed by the fit', () => {
    const found = witnessPoints(fit, shapes, identity, 0.01);
    expect(found.length).toBeGreaterThanOrEqual(3);
    expect(found.length).toBeLessThanOrEqual(5);
    expect(new Set(found.map((w) => w.opening)).size).toBeGreaterThanOrEqual(3);
    expect(found.map((w) => w.opening)).not.toContain('moon');
    for (const w of found) {
      expect(distance(w.at, apply(turned, w.design))).toBeLessThan(1e-6);
      for (const other of found)
        if (other !== w) expect(distance(w.design, other.design)).toBeGreaterThan(90);
    }
  });

  test('the first is where a bow of the panel shows most that marks at its corners do not see', () => {
    const sharp = fitOf(readingsOf(), { readingSd: 0.03 });
    const panel = { minX: 0, minY: 0, maxX: 600, maxY: 400 };
    const middle = polygon('kite', [
      { x: 295, y: 190 },
      { x: 305, y: 200 },
      { x: 295, y: 210 },
    ]);
    const found = witnessPoints(sharp, [...shapes, middle], identity, 0.001, false, unseenBy(sharp, panel));
    expect(found[0]).toMatchObject({ opening: 'kite', shows: 'bow' });
    expect(found.slice(1).every(({ shows }) => shows === undefined)).toBe(true);
    expect(found.length).toBeGreaterThanOrEqual(3);
  });

  test('the first is far from marks that stand in one corner, where a change of size shows most', () => {
    const corner = fitOf(
      readingsOf({
        marks: [
          { x: 20, y: 20 },
          { x: 120, y: 20 },
          { x: 20, y: 120 },
        ],
      }),
      { readingSd: 0.01 },
    );
    const panel = { minX: 0, minY: 0, maxX: 600, maxY: 400 };
    const [first] = witnessPoints(corner, shapes, identity, 0.0001, false, unseenBy(corner, panel));
    expect(first!.design.x).toBeGreaterThan(450);
  });

  test('a panel on its face: the drawing is named as drawn, the bed as it lies', () => {
    const [first] = witnessPoints(fit, shapes, mirrorX, 0.01);
    expect(distance(first!.at, apply(turned, { x: -first!.design.x, y: first!.design.y }))).toBeLessThan(
      1e-6,
    );
  });

  test('openings without a point to aim at give none', () => {
    expect(witnessPoints(fit, [circle('moon', { x: 300, y: 200 }, 40)], identity)).toEqual([]);
  });

  test('no allowed miss is named where no uncertainty can be claimed', () => {
    const few = fitOf(readingsOf().slice(0, 2), { model: 'similarity' });
    for (const w of witnessPoints(few, shapes, identity)) expect(w.allowedMiss).toBeUndefined();
  });

  test.each(['known', 'estimated'] as const)(
    'in 95 of 100 sound jobs the pointer misses by less than allowed: %s sd',
    (kind) => {
      const random = createRandom(`witness ${kind}`);
      let within = 0;
      let points = 0;
      for (let i = 0; i < 2000; i++) {
        const observations = readingsOf({ marks: panelMarks.slice(0, 3), errors: 0.1, seed: `${kind} ${i}` });
        const noisy = fitOf(observations, kind === 'known' ? { readingSd: 0.1 } : {});
        const [w] = witnessPoints(noisy, shapes, identity, noisy.sd.used! ** 2);
        const truth = apply(turned, w!.design);
        const seen = { x: truth.x + 0.1 * random.normal(), y: truth.y + 0.1 * random.normal() };
        points++;
        if (distance(seen, w!.at) <= w!.allowedMiss!) within++;
      }
      // Three binomial sd of 2000 trials: 1.5 %.
      expect(Math.abs(within / points - 0.95)).toBeLessThan(0.015);
    },
  );
});

describe('a typed witness point', () => {
  const where = { file: 'job.yaml', line: 7 };

  test('on a corner, an edge, a curve or a mark is taken', () => {
    const points = [
      { x: 160, y: 300.3 },
      { x: 100, y: 320.4 },
      { x: 300 + 40 * Math.cos(1), y: 200 + 40 * Math.sin(1) },
      { x: 20, y: 20.2 },
    ].map((design) => ({ design, where }));
    expect(() => refuseStrayWitness(points, shapes, panelMarks)).not.toThrow();
  });

  test('where nothing is drawn is refused with the distance to the nearest edge', () => {
    const act = () => refuseStrayWitness([{ design: { x: 110, y: 310 }, where }], shapes, panelMarks);
    expect(act).toThrow(InputError);
    try {
      act();
    } catch (error) {
      const { found, expected, where: at, next } = error as InputError;
      expect(found).toBe(
        'the witness point [110, 310], 10.00 mm from the nearest edge of the drawing (sill)',
      );
      expect(expected).toBe('a point within 0.5 mm of a drawn edge, corner or mark');
      expect(at).toEqual(where);
      expect(next).toContain('reseat check');
    }
  });
});
