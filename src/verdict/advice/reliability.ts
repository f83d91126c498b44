/** What the smallest mistake that would show at a mark does to the openings: how much a hidden one could cost. */
import type { Fit } from '../../fit/fit.js';
import { apply, type Matrix } from '../../geometry/affine.js';
import { type Box, boxCentre, boxDiagonal, length } from '../../geometry/point.js';
import { type Edge, edgeBox } from '../edges/edge.js';
import { displacementOf } from '../risk/error-field.js';

export interface MarkReliability {
  /** Name of the mark, or of the touch. */
  readonly mark: string;
  /** Not set for a mark. */
  readonly touch?: true;
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

export const reliabilityOf = (fit: Fit, all: readonly Edge[]): MarkReliability[] => {
  const edges = all.filter((edge) => edge.x.length > 0).map((edge) => ({ edge, box: edgeBox(edge) }));
  return [
    ...fit.marks.map(({ mark, smallestDetectable, influence }) => {
      const mistakes = (['x', 'y'] as const).map((axis) => ({
        size: smallestDetectable[axis],
        influence: influence[axis],
      }));
      return { mark, ...hidden(fit, edges, mistakes) };
    }),
    ...(fit.touches ?? []).map(({ touch, smallestDetectable, influence }) => {
      const mistake = { size: smallestDetectable, influence };
      return { mark: touch, touch: true, ...hidden(fit, edges, [mistake]) } as const;
    }),
  ];
};

interface PlacedEdge {
  readonly edge: Edge;
  readonly box: Box;
}

/** One coordinate of a reading. */
interface Mistake {
  /** The smallest that shows, mm; undefined: none would. */
  readonly size: number | undefined;
  readonly influence: readonly number[] | undefined;
}

const hidden = (
  fit: Fit,
  edges: readonly PlacedEdge[],
  mistakes: readonly Mistake[],
): Pick<MarkReliability, 'smallestDetectable' | 'approach' | 'opening'> => {
  if (fit.covariance === undefined) return {};
  let smallest: number | undefined;
  let approach = 0;
  let opening: string | undefined;
  for (const { size, influence } of mistakes) {
    if (size === undefined) continue;
    smallest = Math.max(smallest ?? 0, size);
    if (influence === undefined) continue;
    const change = influence.map((value) => value * size);
    const displacement = displacementOf(fit, change);
    for (const { edge, bound } of mostMovedFirst(edges, displacement)) {
      if (bound <= approach) break;
      const here = largestApproach(edge, displacement);
      if (here <= approach) continue;
      approach = here;
      opening = edge.id;
    }
  }
  if (smallest === undefined) return {};
  return { smallestDetectable: smallest, approach, ...(opening === undefined ? {} : { opening }) };
};

/** Edges with the most that any point of their boxes is moved by, the most first. */
const mostMovedFirst = (
  edges: readonly PlacedEdge[],
  displacement: Matrix,
): { edge: Edge; bound: number }[] => {
  const [a, b, c, d] = displacement;
  const stretch = Math.hypot(a, b, c, d);
  return edges
    .map(({ edge, box }) => ({
      edge,
      bound: length(apply(displacement, boxCentre(box))) + (stretch * boxDiagonal(box)) / 2,
    }))
    .sort((p, q) => q.bound - p.bound);
};

const largestApproach = ({ x, y, normalX, normalY }: Edge, [a, b, c, d, e, f]: Matrix): number => {
  let largest = 0;
  for (let i = 0; i < x.length; i++) {
    const px = x[i]!;
    const py = y[i]!;
    const along = normalX[i]! * (a * px + c * py + e) + normalY[i]! * (b * px + d * py + f);
    if (along > largest) largest = along;
    else if (-along > largest) largest = -along;
  }
  return largest;
};
