/** What the smallest mistake that would show at a mark does to the openings: how much a hidden one could cost. */
import type { Fit } from '../fit/fit.js';
import { positionJacobian } from '../fit/position.js';
import type { Edge } from './edge.js';
import { displacementOf } from './error-field.js';

export interface MarkReliability {
  readonly mark: string;
  /**
   * Smallest mistake of this reading that its residual would show with power 0.80 at 0.001 (Baarda 1968), mm, the
   * larger of the two axes; undefined where no other reading checks it.
   */
  readonly smallestDetectable?: number;
  /** How much closer such a mistake brings the new edge to the existing one at the worst place, mm. */
  readonly approach?: number;
  /** The opening where that is. */
  readonly opening?: string;
}

/**
 * A mistake of a reading moves the fit by  C J' / v  times its size: C the covariance, J the position's derivative at
 * the mark, v the variance of its mean, all on one scale.
 */
export const reliabilityOf = (fit: Fit, edges: readonly Edge[]): MarkReliability[] =>
  fit.marks.map(({ mark, design, smallestDetectable, redundancy }) => {
    const { covariance } = fit;
    if (covariance === undefined) return { mark };
    const jacobian = positionJacobian(fit, design);
    let smallest: number | undefined;
    let approach = 0;
    let opening: string | undefined;
    for (const axis of ['x', 'y'] as const) {
      const size = smallestDetectable[axis];
      if (size === undefined) continue;
      smallest = Math.max(smallest ?? 0, size);
      const row = jacobian[axis];
      // variance of the mean from what it leaves of the position's own: redundancy = 1 - J C J' / v.
      const own = covariance.map((c) => c.reduce((sum, value, k) => sum + value * row[k]!, 0));
      const fitted = own.reduce((sum, value, k) => sum + value * row[k]!, 0);
      const variance = fitted / (1 - redundancy[axis]);
      if (!(variance > 0)) continue;
      const change = own.map((value) => (value / variance) * size);
      const [a, b, c, d, e, f] = displacementOf(fit, change);
      for (const edge of edges) {
        for (let i = 0; i < edge.x.length; i++) {
          const x = edge.x[i]!;
          const y = edge.y[i]!;
          const nearer = Math.abs(
            edge.normalX[i]! * (a * x + c * y + e) + edge.normalY[i]! * (b * x + d * y + f),
          );
          if (nearer > approach) {
            approach = nearer;
            opening = edge.id;
          }
        }
      }
    }
    if (smallest === undefined) return { mark };
    return {
      mark,
      smallestDetectable: smallest,
      approach,
      ...(opening === undefined ? {} : { opening }),
    };
  });
