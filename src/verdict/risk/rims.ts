/**
 * Round edges whose radius was found by touching them. The radius R is uncertain like everything the fit has found, and it is
 * off together with the placement: the touches that lie on one side of the rim alone, say, leave R and a shift that way
 * nearly the same. Where R is larger by dR than it was found, every point of that edge lies dR farther from the centre, along
 * its normal: n . d becomes n . d + s dR, with s = 1 where the normal points away from the centre, -1 where it points to it.
 * dR is drawn with the other errors, from their joint covariance (draws.ts), and is one number for all of the edge.
 */
import type { Fit, FittedRim } from '../../fit/fit.js';
import { apply } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import type { Edge, EdgeRim } from '../edges/edge.js';
import type { ErrorField } from './error-field.js';

/** A point no farther than this from the circle is on it, mm, and a normal within so much of its radius. */
const onRim = 0.005;
const alongRadius = 0.999;

/**
 * The edges, with those marked that are a rim of unknown radius or hold a part of one. Undefined where there is none.
 *
 * @param edges true bed mm
 * @param radiusOf of the edge as it is judged, design mm
 */
export const edgesWithRims = (
  edges: readonly Edge[],
  { rims = [], matrix }: Fit,
  radiusOf: (rim: FittedRim) => number,
): readonly Edge[] | undefined => {
  const found = rims.filter(({ stated }) => stated !== true);
  if (found.length === 0) return undefined;
  const [a, b, c, d] = matrix;
  const sizes = [Math.hypot(a, b), Math.hypot(c, d)];
  const circles = found.map((rim, number) => {
    const radius = radiusOf(rim);
    return {
      number,
      centre: apply(matrix, rim.centre),
      least: Math.min(...sizes) * radius - onRim,
      most: Math.max(...sizes) * radius + onRim,
    };
  });
  let some = false;
  const marked = edges.map((edge): Edge => {
    for (const circle of circles) {
      const rim = rimOf(edge, circle);
      if (rim === undefined) continue;
      some = true;
      return { ...edge, rim };
    }
    return edge;
  });
  return some ? marked : undefined;
};

interface Circle {
  readonly number: number;
  readonly centre: Point;
  /** Distances from the centre of what is on it. */
  readonly least: number;
  readonly most: number;
}

const rimOf = (edge: Edge, { number, centre, least, most }: Circle): EdgeRim | undefined => {
  const count = edge.x.length;
  let signs: Int8Array | undefined;
  for (let i = 0; i < count; i += 1) {
    const x = edge.x[i]! - centre.x;
    const y = edge.y[i]! - centre.y;
    const away = Math.sqrt(x * x + y * y);
    if (away < least || away > most) continue;
    const along = (edge.normalX[i]! * x + edge.normalY[i]! * y) / away;
    if (Math.abs(along) < alongRadius) continue;
    signs ??= new Int8Array(count);
    signs[i] = along > 0 ? 1 : -1;
  }
  if (signs === undefined) return undefined;
  const sides = ([1, -1, 0] as const).filter((side) => signs.includes(side));
  return { number, signs, sides };
};

/** Adds what the radius brings to the variances of the approach at the points of an edge, mm^2. */
export const addRim = (edge: Edge, { rims, levers, centre }: ErrorField, variances: Float64Array): void => {
  const { rim } = edge;
  if (rim === undefined || rims === undefined) return;
  const cross = rims.cross[rim.number]!;
  const own = rims.covariance[rim.number]![rim.number]!;
  for (let i = 0; i < edge.x.length; i += 1) {
    const sign = rim.signs[i]!;
    if (sign === 0) continue;
    const [nx, ny] = [edge.normalX[i]!, edge.normalY[i]!];
    const [x, y] = [edge.x[i]! - centre.x, edge.y[i]! - centre.y];
    let along = nx * cross[0]! + ny * cross[1]!;
    levers.forEach(([xx, xy, yx, yy], k) => {
      along += cross[2 + k]! * (nx * (xx * x + xy * y) + ny * (yx * x + yy * y));
    });
    variances[i]! += own + 2 * sign * along;
  }
};
