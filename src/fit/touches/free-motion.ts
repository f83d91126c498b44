/** What the readings leave free: a slide, a turn, a size or a radius they say nothing about. */
import { EigenvalueDecomposition, Matrix } from 'ml-matrix';
import type { Point } from '../../geometry/point.js';
import type { Model } from '../../job/job.js';
import { changed, jacobianAt, type Placement, unknownsOf } from '../solve/placement.js';
import { type MixedReadings, spansAt, unknownRims } from './mixed-fit.js';
import { touchRow } from './touch-rows.js';

export type FreeMotion =
  /** Direction on the bed, radians, 0 to half a turn. */
  | { readonly kind: 'slide'; readonly direction: number }
  /** About this place, true bed mm. */
  | { readonly kind: 'turn'; readonly about: Point }
  | { readonly kind: 'size' }
  /** Index among the unknown rims. */
  | { readonly kind: 'radius'; readonly rim: number };

interface Limit {
  /** Told from where the unknowns are known this many times worse than a reading. */
  readonly dilution: number;
  /** Default: that of the placement. */
  readonly model?: Model;
}

/** The combination of the unknowns that is known worst, each in mm; undefined where it is known well enough. */
export const freeMotion = (
  { placement: given }: { readonly placement: Placement },
  readings: MixedReadings,
  { dilution, model = given.model }: Limit,
): FreeMotion | undefined => {
  const placement = { ...given, model };
  const { marks, touches } = readings;
  const rims = unknownRims(touches);
  const unknowns = unknownsOf[model];
  const points = [...marks.map((m) => m.to), ...touches.map((t) => t.to[0]!)];
  const middle = {
    x: points.reduce((sum, p) => sum + p.x, 0) / points.length,
    y: points.reduce((sum, p) => sum + p.y, 0) / points.length,
  };
  const reach = Math.max(1, ...points.map((p) => Math.hypot(p.x - middle.x, p.y - middle.y)));
  const rows = rowsAt(placement, readings);
  const sizes = Array.from({ length: unknowns + rims.length }, (_, j) =>
    j < 2 || j >= unknowns ? 1 : reach,
  );
  const normal = Matrix.zeros(sizes.length, sizes.length);
  for (const row of rows)
    for (let i = 0; i < sizes.length; i++)
      for (let j = 0; j < sizes.length; j++)
        normal.set(i, j, normal.get(i, j) + (row[i]! * row[j]!) / (sizes[i]! * sizes[j]!));
  const { realEigenvalues, eigenvectorMatrix } = new EigenvalueDecomposition(normal, {
    assumeSymmetric: true,
  });
  let least = 0;
  realEigenvalues.forEach((value, k) => {
    if (value < realEigenvalues[least]!) least = k;
  });
  if (realEigenvalues[least]! * dilution ** 2 >= 1) return undefined;
  const change = sizes.map((size, j) => eigenvectorMatrix.get(j, least) / size);
  return described(change, placement, middle, reach);
};

const rowsAt = (placement: Placement, { marks, touches }: MixedReadings): number[][] => {
  const rims = unknownRims(touches);
  const radii = rims.map((edge) => edge.rim!.drawnRadius);
  const spans = spansAt(placement, touches);
  const rows: number[][] = [];
  for (const { from } of marks) {
    const { x, y } = jacobianAt(placement, from);
    rows.push([...x, ...radii.map(() => 0)], [...y, ...radii.map(() => 0)]);
  }
  touches.forEach((touch, i) => {
    const column = rims.indexOf(touch.edge);
    rows.push([...touchRow(placement, touch, spans[i]!, { column, radii }).design]);
  });
  return rows;
};

const described = (
  change: readonly number[],
  placement: Placement,
  middle: Point,
  reach: number,
): FreeMotion => {
  const unknowns = unknownsOf[placement.model];
  // What the change does to the readings' middle, and how it turns and stretches about it, all in mm.
  const before = placement.linear;
  const after = changed(placement, change.slice(0, unknowns)).linear;
  const det = before[0] * before[3] - before[1] * before[2];
  const da = after.map((v, k) => v - before[k]!) as [number, number, number, number];
  // dL L^-1 by its turning part and the rest.
  const xx = (da[0] * before[3] - da[2] * before[1]) / det;
  const xy = (da[2] * before[0] - da[0] * before[2]) / det;
  const yx = (da[1] * before[3] - da[3] * before[1]) / det;
  const yy = (da[3] * before[0] - da[1] * before[2]) / det;
  const turn = (yx - xy) / 2;
  const stretch = Math.hypot((xx + yy) / 2, (xx - yy) / 2, (xy + yx) / 2);
  const arm = { x: middle.x - placement.anchor.x, y: middle.y - placement.anchor.y };
  const dx = change[0]! + xx * arm.x + xy * arm.y;
  const dy = change[1]! + yx * arm.x + yy * arm.y;
  const shift = Math.hypot(dx, dy);
  const radii = change.slice(unknowns).map(Math.abs);
  const radius = Math.max(0, ...radii);
  const most = Math.max(shift, Math.abs(turn) * reach, stretch * reach, radius);
  if (radius === most) return { kind: 'radius', rim: radii.indexOf(radius) };
  if (stretch * reach > 0.3 * most) return { kind: 'size' };
  if (Math.abs(turn) * reach < 0.05 * shift)
    return { kind: 'slide', direction: (Math.atan2(dy, dx) + Math.PI) % Math.PI };
  return { kind: 'turn', about: { x: middle.x - dy / turn, y: middle.y + dx / turn } };
};
