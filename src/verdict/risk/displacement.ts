/** A displacement of bed points that is known, or known but for its size: affine, and bent where the part is. */
import { apply, type Matrix } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';

/** d(p) = matrix p + each (along . p - origin)^2, mm; `matrix` maps to a displacement, not to a place. */
export interface Displacement {
  readonly matrix: Matrix;
  /** `along`: a unit vector; `each`: mm per mm^2. */
  readonly bend?: { readonly along: Point; readonly origin: number; readonly each: Point };
}

export const shiftBy = (x: number, y: number): Displacement => ({ matrix: [0, 0, 0, 0, x, y] });

export const displacedBy = ({ matrix, bend }: Displacement, p: Point): Point => {
  const moved = apply(matrix, p);
  if (bend === undefined) return moved;
  const squared = (bend.along.x * p.x + bend.along.y * p.y - bend.origin) ** 2;
  return { x: moved.x + bend.each.x * squared, y: moved.y + bend.each.y * squared };
};

/** a + factor x b. Two that bend do so along the same line of the same part: the second's `along` and `origin` are the first's. */
export const plus = (a: Displacement, b: Displacement, factor = 1): Displacement => {
  const matrix = a.matrix.map((value, i) => value + factor * b.matrix[i]!) as unknown as Matrix;
  const own = a.bend;
  const other = b.bend;
  if (other === undefined) return own === undefined ? { matrix } : { matrix, bend: own };
  const each = {
    x: (own?.each.x ?? 0) + factor * other.each.x,
    y: (own?.each.y ?? 0) + factor * other.each.y,
  };
  return { matrix, bend: { ...other, each } };
};

export const nothingMoved: Displacement = { matrix: [0, 0, 0, 0, 0, 0] };
