/** How much faster the error grows away from the marks. */

import type { Fit } from '../fit/fit.js';
import { positionCovariance } from '../fit/position.js';
import { apply, invert } from '../geometry/affine.js';
import type { Point } from '../geometry/point.js';
import type { Warning } from '../job/messages.js';
import { type Edge, edgeBox } from './edge.js';

/** From here on it is told. */
const tellingFactor = 2;

export interface Extrapolation {
  readonly opening: string;
  /** Predicted error of the position at this opening's farthest place over the largest at any mark or touch. */
  readonly factor: number;
}

/**
 * The factor of every opening. The variance of a position grows as a square with the distance from the marks'
 * centre, so within the marks it is largest at a mark, and in an opening's box at a corner.
 */
export const extrapolationOf = (fit: Fit, edges: readonly Edge[]): Extrapolation[] => {
  const inverse = invert(fit.matrix);
  if (inverse === undefined || fit.covariance === undefined) return [];
  const size = (design: Point): number => {
    const { xx, yy } = positionCovariance(fit, design)!;
    return Math.sqrt(xx + yy);
  };
  const read = [...fit.marks, ...(fit.touches ?? [])];
  const atMarks = Math.max(...read.map((m) => size(m.design)));
  if (!(atMarks > 0)) return [];
  return edges
    .filter((edge) => edge.x.length > 0)
    .map((edge) => {
      const box = edgeBox(edge);
      const corners = [
        { x: box.minX, y: box.minY },
        { x: box.maxX, y: box.minY },
        { x: box.minX, y: box.maxY },
        { x: box.maxX, y: box.maxY },
      ];
      return { opening: edge.id, factor: Math.max(...corners.map((p) => size(apply(inverse, p)))) / atMarks };
    });
};

/** `read`: what holds the fit, in words. */
export const extrapolationWarnings = (found: readonly Extrapolation[], read = 'marks'): Warning[] => {
  const far = found.filter((e) => e.factor >= tellingFactor).sort((a, b) => b.factor - a.factor);
  const worst = far[0];
  if (worst === undefined) return [];
  const others = far.length === 1 ? '' : ` (and ${far.length - 1} more beyond ${tellingFactor} times)`;
  return [
    {
      code: 'extrapolation',
      message: `The opening ${worst.opening} lies so far outside the ${read} that the error there is ${worst.factor.toFixed(1)} times that at the ${read}${others}. A mark beyond it would hold it.`,
    },
  ];
};
