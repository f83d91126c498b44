/** How much faster the error grows away from the marks. */

import type { Fit } from '../fit/fit.js';
import { apply } from '../geometry/affine.js';
import type { Warning } from '../job/messages.js';
import { type Edge, edgeBox } from './edges/edge.js';
import { errorField } from './risk/error-field.js';
import { positionSpread, spreadAt } from './risk/position-spread.js';

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
  const field = errorField(fit, { cutSd: 0, kerfSd: 0 });
  if (field === undefined) return [];
  const { xx, yy } = positionSpread(field);
  const size = (px: number, py: number): number => {
    const x = px - field.centre.x;
    const y = py - field.centre.y;
    return Math.sqrt(spreadAt(xx, x, y) + spreadAt(yy, x, y));
  };
  const read = [...fit.marks, ...(fit.touches ?? [])].map((m) => apply(fit.matrix, m.design));
  const atMarks = Math.max(...read.map((p) => size(p.x, p.y)));
  if (!(atMarks > 0)) return [];
  return edges
    .filter((edge) => edge.x.length > 0)
    .map((edge) => {
      const { minX, minY, maxX, maxY } = edgeBox(edge);
      const farthest = Math.max(size(minX, minY), size(maxX, minY), size(minX, maxY), size(maxX, maxY));
      return { opening: edge.id, factor: farthest / atMarks };
    });
};

/** In words: `what` lies there, and what holds the fit was `read`. */
export const extrapolationWarnings = (
  found: readonly Extrapolation[],
  { what, read } = { what: 'opening', read: 'marks' },
): Warning[] => {
  const far = found.filter((e) => e.factor >= tellingFactor).sort((a, b) => b.factor - a.factor);
  const worst = far[0];
  if (worst === undefined) return [];
  const others = far.length === 1 ? '' : ` (and ${far.length - 1} more beyond ${tellingFactor} times)`;
  return [
    {
      code: 'extrapolation',
      message: `The ${what} ${worst.opening} lies so far outside the ${read} that the error there is ${worst.factor.toFixed(1)} times that at the ${read}${others}. A mark beyond it would hold it.`,
    },
  ];
};
