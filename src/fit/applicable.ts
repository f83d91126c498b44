/** What a cutter that cannot do everything will do instead of the fit. */
import type { Shape } from '../drawing/model/drawing.js';
import { apply, type Matrix, rotation } from '../geometry/affine.js';
import { positionAt } from '../geometry/curve.js';
import type { Point } from '../geometry/point.js';

/** What the cutter can do with a drawing: anything, turn and shift it, or only shift it. */
export type Applicable = 'full' | 'rigid' | 'shift';

/**
 * The transform the cutter applies in place of `fitted`: of those it can do, the one that brings the given design
 * points (after face) closest to where the fit puts them, in the sense of least squares. Cut and verdict take the
 * same points, those of `openingPoints`. Without points the origin goes where the fit puts it.
 * Rigid: the closed form of the two-dimensional fit, angle = atan2(sum of cross, sum of dot products about the means).
 */
export const applicableTransform = (fitted: Matrix, what: Applicable, points: readonly Point[]): Matrix => {
  if (what === 'full') return fitted;
  const count = Math.max(1, points.length);
  let x = 0;
  let y = 0;
  for (const p of points) {
    x += p.x / count;
    y += p.y / count;
  }
  const target = apply(fitted, { x, y });
  if (what === 'shift') return [1, 0, 0, 1, target.x - x, target.y - y];
  const [a, b, c, d] = fitted;
  let cosine = 0;
  let sine = 0;
  for (const p of points) {
    const u = p.x - x;
    const v = p.y - y;
    const tx = a * u + c * v;
    const ty = b * u + d * v;
    cosine += u * tx + v * ty;
    sine += u * ty - v * tx;
  }
  const turn = rotation(cosine === 0 && sine === 0 ? Math.atan2(b - c, a + d) : Math.atan2(sine, cosine));
  const centre = apply(turn, { x, y });
  return [turn[0], turn[1], turn[2], turn[3], target.x - centre.x, target.y - centre.y];
};

/**
 * Points along the closed paths of the openings as drawn, taken through `face`: both ends and the middle of segments.
 * @param withOpen for what is cut as drawn: along its open paths, too
 */
export const openingPoints = (openings: readonly Shape[], face: Matrix, withOpen = false): Point[] => {
  const points: Point[] = [];
  for (const shape of openings) {
    for (const path of shape.paths) {
      if (!path.closed && !withOpen) continue;
      for (const s of path.segments)
        points.push(apply(face, positionAt(s, 0)), apply(face, positionAt(s, 0.5)));
      const last = path.segments.at(-1);
      if (!path.closed && last) points.push(apply(face, positionAt(last, 1)));
    }
  }
  return points;
};
