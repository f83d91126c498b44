/**
 * The row of a touch. With q = T^-1(p), s(q) the signed distance from the drawn edge in the design frame (positive
 * into the material) and m = L^-T grad s, the distance on the bed is s / |m|, and
 *
 *   residual = s(q) / |m| - set-back
 *
 * A touch read several times gives one row, the mean over its readings: on a bent edge the mean of the points would
 * lie beside it. `m / |m|` is the normal on the bed, so that the row is what a mark gives along that normal.
 */

import type { Point } from '../../geometry/point.js';
import { sideOfSpan } from '../../geometry/spans/span-side.js';
import type { TouchEdge } from '../../marks/touch-edge.js';
import type { Row } from '../../numeric/least-squares.js';
import { cubed } from '../../numeric/powers.js';
import { jacobianAt, type Placement } from '../solve/placement.js';

export interface TouchPair {
  readonly edge: TouchEdge;
  /** Single readings in the frame of the placement's anchor. */
  readonly to: readonly Point[];
  /** Of their mean, mm, across the edge. */
  readonly sd: number;
}

/** Where one reading stands against its edge. */
export interface Misclosure {
  /** Design frame. */
  readonly at: Point;
  /** On the bed, mm, positive into the material. */
  readonly residual: number;
  /** Unit normal on the bed, into the material. */
  readonly normal: Point;
  /** Its gradient by the unknowns of the placement, with the sign of a design row: computed, not residual. */
  readonly design: readonly number[];
  /** The same by the rim's radius, mm in the design frame. */
  readonly byRadius: number;
}

export const designPointOf = ({ centre, anchor, linear: [a, b, c, d] }: Placement, p: Point): Point => {
  const det = a * d - b * c;
  const x = p.x - anchor.x;
  const y = p.y - anchor.y;
  return { x: centre.x + (d * x - c * y) / det, y: centre.y + (a * y - b * x) / det };
};

/** `span`: number of the edge's span the touch is taken to be on; of no meaning for a rim. */
export const misclosureOf = (
  placement: Placement,
  edge: TouchEdge,
  p: Point,
  span: number,
  radius: number | undefined,
): Misclosure => {
  const at = designPointOf(placement, p);
  const { s, nx, ny, bend, byRadius } = signedDistance(edge, at, span, radius);
  const [a, b, c, d] = placement.linear;
  const det = a * d - b * c;
  const mx = (d * nx - b * ny) / det;
  const my = (a * ny - c * nx) / det;
  const size = Math.sqrt(mx * mx + my * my);
  const normal = { x: mx / size, y: my / size };
  const here = jacobianAt(placement, at);
  const design = here.x.map((x, j) => normal.x * x + normal.y * here.y[j]!);
  if (placement.model === 'similarity' || placement.model === 'affine') {
    // The size of the part changes the distance itself: d|m| = - m . dL L^-1 m / |m|.
    const w = { x: (d * mx - c * my) / det, y: (a * my - b * mx) / det };
    const origin = jacobianAt(placement, placement.centre);
    const along = jacobianAt(placement, { x: placement.centre.x + w.x, y: placement.centre.y + w.y });
    // Where the edge is bent its normal turns as the foot moves along it by t . dq = -(L^-T t) . J.
    const lean = bend * (w.y * nx - w.x * ny);
    const tx = (-d * ny - b * nx) / det;
    const ty = (a * nx + c * ny) / det;
    for (let j = 0; j < design.length; j++) {
      const grown = mx * (along.x[j]! - origin.x[j]!) + my * (along.y[j]! - origin.y[j]!);
      const turned = lean * (tx * here.x[j]! + ty * here.y[j]!);
      design[j]! -= (s * (grown + turned)) / cubed(size);
    }
  }
  return { at, residual: s / size - edge.setBack, normal, design, byRadius: byRadius / size };
};

/** `bend`: how the unit normal turns along the edge, dn = bend t (t . dq), 1/mm. */
const signedDistance = (
  { index, material, rim }: TouchEdge,
  q: Point,
  span: number,
  radius: number | undefined,
): { s: number; nx: number; ny: number; bend: number; byRadius: number } => {
  if (rim === undefined) {
    const one = index.spans[span]!;
    const { left, normalX, normalY } = sideOfSpan(one, q.x, q.y);
    const side = material[span]!;
    const away = one.radius === 0 ? 0 : Math.hypot(q.x - one.cx, q.y - one.cy);
    const bend = away === 0 ? 0 : (one.sweep > 0 ? -side : side) / away;
    return { s: side * left, nx: side * normalX, ny: side * normalY, bend, byRadius: 0 };
  }
  const x = q.x - rim.centre.x;
  const y = q.y - rim.centre.y;
  const size = Math.sqrt(x * x + y * y);
  const { outside } = rim;
  return {
    s: outside * (size - (rim.radius ?? radius ?? rim.drawnRadius)),
    nx: size === 0 ? outside : (outside * x) / size,
    ny: size === 0 ? 0 : (outside * y) / size,
    bend: size === 0 ? 0 : outside / size,
    byRadius: outside,
  };
};

/** The one row of a touch. `rim`: column of its unknown radius behind those of the placement, -1 for none. */
export const touchRow = (
  placement: Placement,
  { edge, to, sd }: TouchPair,
  spans: readonly number[],
  rims: { readonly column: number; readonly radii: readonly number[] },
): Row => {
  const radius = rims.column < 0 ? undefined : rims.radii[rims.column];
  let observed = 0;
  let design: number[] | undefined;
  to.forEach((p, k) => {
    const one = misclosureOf(placement, edge, p, spans[k]!, radius);
    const row = [...one.design, ...rims.radii.map((_, i) => (i === rims.column ? one.byRadius : 0))];
    observed += one.residual / to.length;
    design = design === undefined ? row : design.map((value, j) => value + row[j]!);
  });
  return { observed, design: to.length === 1 ? design! : design!.map((value) => value / to.length), sd };
};
