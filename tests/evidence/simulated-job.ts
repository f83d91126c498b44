/** Jobs as the studies simulate them: a true placement, readings with errors, openings, a cut with errors of its own. */

import type { Shape } from '../../src/drawing/model/drawing.js';
import type { Observation } from '../../src/fit/fit.js';
import { apply, type Matrix } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';
import type { Corners, Model } from '../../src/job/job.js';
import type { RandomSource } from '../../src/numeric/random.js';
import { polygonPath, rectanglePoints, shapeOf, starPoints } from '../verdict/shapes.js';
import type { Rings } from './exact-touch.js';

export const models: readonly Model[] = ['shift', 'rigid', 'similarity', 'affine'];
export const unknowns: Readonly<Record<Model, number>> = { shift: 2, rigid: 3, similarity: 4, affine: 6 };

export interface Layout {
  readonly model: Model;
  readonly marks: readonly Point[];
  readonly truth: Matrix;
  readonly openings: readonly Shape[];
  readonly rings: readonly Rings[];
  readonly cut: {
    readonly kind: 'opening' | 'inlay';
    readonly corners: Corners;
    readonly mitreLimit: number;
  };
  /** Openings lie between the marks, or well outside them. */
  readonly inside: boolean;
}

const between = (random: RandomSource, low: number, high: number) => low + (high - low) * random.uniform();

/** Panel of 600 x 400 mm. */
export const randomLayout = (random: RandomSource, model: Model, count: number): Layout => {
  const inside = random.uniform() < 0.5;
  const marks = inside ? spreadMarks(random, count) : crowdedMarks(random, count);
  const openings = Array.from({ length: 1 + random.index(3) }, (_, i) => randomOpening(random, i, inside));
  return {
    model,
    marks,
    truth: randomTruth(random, model),
    openings: openings.map(({ rings }, i) => shapeOf(`opening ${i}`, rings.map(polygonPath))),
    rings: openings.map((o) => o.rings),
    cut: {
      kind: random.uniform() < 0.7 ? 'opening' : 'inlay',
      corners: random.uniform() < 0.5 ? 'round' : 'mitre',
      mitreLimit: 4,
    },
    inside,
  };
};

/** Near the corners and the middles of the long sides. */
const spreadMarks = (random: RandomSource, count: number): Point[] =>
  [
    [20, 20],
    [580, 380],
    [580, 20],
    [20, 380],
    [300, 20],
    [300, 380],
  ]
    .slice(0, count)
    .map(([x, y]) => ({ x: x! + between(random, -15, 40), y: y! + between(random, -15, 15) }));

/** In a quarter of the panel, never nearly on one line. */
const crowdedMarks = (random: RandomSource, count: number): Point[] =>
  Array.from({ length: count }, (_, i) => {
    const angle = (2 * Math.PI * i) / count + between(random, -0.3, 0.3);
    const radius = between(random, 60, 110);
    return { x: 130 + radius * Math.cos(angle), y: 130 + radius * Math.sin(angle) };
  });

const randomOpening = (random: RandomSource, index: number, inside: boolean): { rings: Rings } => {
  const x = inside ? between(random, 80, 500) : between(random, 280, 520);
  const y = inside ? between(random, 70, 320) : between(random, 200, 330);
  const centre = { x, y };
  const size = between(random, 10, 35);
  switch ((index + random.index(5)) % 5) {
    case 0:
      return { rings: [rectanglePoints(x, y, size * 1.5, size)] };
    case 1:
      return { rings: [starPoints(centre, size, size * 0.45, 5, random.uniform())] };
    case 2:
      return { rings: [leafPoints(centre, 2 * size, 0.3 * size, 7 * random.uniform())] };
    case 3:
      return { rings: [starPoints(centre, size, size * 0.97, 4), starPoints(centre, size / 3, size / 4, 3)] };
    default:
      // Nearly a circle: 12 corners of a radius, the inner ones on the same circle.
      return { rings: [starPoints(centre, size, size, 6)] };
  }
};

/** Pointed at both ends, 12 corners. */
const leafPoints = (centre: Point, long: number, wide: number, turn: number): Point[] =>
  Array.from({ length: 12 }, (_, i) => {
    const t = i / 6;
    const along = Math.cos(Math.PI * t);
    const across = Math.sign(1 - t) * (1 - along * along);
    const u = (long / 2) * along;
    const v = i % 6 === 0 ? 0 : wide * across;
    return {
      x: centre.x + u * Math.cos(turn) - v * Math.sin(turn),
      y: centre.y + u * Math.sin(turn) + v * Math.cos(turn),
    };
  });

const randomTruth = (random: RandomSource, model: Model): Matrix => {
  const angle = model === 'shift' ? 0 : between(random, -Math.PI, Math.PI);
  const e = between(random, 50, 300);
  const f = between(random, 50, 300);
  const size = model === 'similarity' ? 1 + 0.002 * random.normal() : 1;
  const c = size * Math.cos(angle);
  const s = size * Math.sin(angle);
  if (model !== 'affine') return [c, s, -s, c, e, f];
  const stretch = 1 + 0.002 * random.normal();
  const lean = 0.002 * random.normal();
  return [c * stretch, s * stretch, -s + lean * c, c + lean * s, e, f];
};

/** `sds`: true sd of a reading and of a mark's own position; `repeats`: readings per mark. */
export const simulatedReadings = (
  random: RandomSource,
  layout: Layout,
  sds: { readonly reading: number; readonly mark: number },
  repeats: readonly number[] = [],
): Observation[] =>
  layout.marks.map((design, i) => {
    const at = apply(layout.truth, design);
    const own = { x: sds.mark * random.normal(), y: sds.mark * random.normal() };
    return {
      mark: `M${i}`,
      design,
      readings: Array.from({ length: repeats[i] ?? 1 }, () => ({
        x: at.x + own.x + sds.reading * random.normal(),
        y: at.y + own.y + sds.reading * random.normal(),
      })),
    };
  });
