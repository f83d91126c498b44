/** Where a design point lands, and how well that is known. */
import { apply } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import type { Fit } from '../fit.js';
import { jacobianAt, type Placement, type PositionJacobian } from './placement.js';

/** What is needed of a fit here. */
export type PlacedFit = Pick<Fit, 'model' | 'matrix' | 'centre' | 'covariance'>;

/** The placement of a fit, to begin another adjustment from. */
export const placementOfFit = ({
  model,
  matrix,
  centre,
}: Pick<Fit, 'model' | 'matrix' | 'centre'>): Placement => {
  const [a, b, c, d] = matrix;
  return { model, centre, anchor: apply(matrix, centre), linear: [a, b, c, d] };
};

/** Design point (after face) -> true bed mm. */
export const fittedPosition = (fit: Pick<Fit, 'matrix'>, q: Point): Point => apply(fit.matrix, q);

/**
 * Derivative of the fitted position of a design point by the unknowns, in the order of `fit.covariance`:
 * shift x, shift y, then turn (rigid), turn and relative size (similarity), or the four matrix entries (affine).
 */
export const positionJacobian = (
  fit: Pick<Fit, 'model' | 'matrix' | 'centre'>,
  designPoint: Point,
): PositionJacobian => {
  const [a, b, c, d] = fit.matrix;
  return jacobianAt(
    { model: fit.model, centre: fit.centre, anchor: { x: 0, y: 0 }, linear: [a, b, c, d] },
    designPoint,
  );
};

/** Covariance of the fitted position, mm^2; undefined when the fit claims no uncertainty. */
export const positionCovariance = (
  fit: PlacedFit,
  designPoint: Point,
): { readonly xx: number; readonly xy: number; readonly yy: number } | undefined => {
  const { covariance } = fit;
  if (covariance === undefined) return undefined;
  const { x, y } = positionJacobian(fit, designPoint);
  let xx = 0;
  let xy = 0;
  let yy = 0;
  for (let i = 0; i < x.length; i++) {
    for (let j = 0; j < x.length; j++) {
      const c = covariance[i]![j]!;
      xx += x[i]! * c * x[j]!;
      xy += x[i]! * c * y[j]!;
      yy += y[i]! * c * y[j]!;
    }
  }
  return { xx, xy, yy };
};
