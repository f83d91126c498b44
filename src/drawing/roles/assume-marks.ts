/** Shapes that are marks though no layer says so: by names that say it, and by where they lie. */

import Flatbush from 'flatbush';
import type { Point } from '../../geometry/point.js';
import { roundCentre } from '../mark-sites/centre.js';
import type { Shape } from '../model/drawing.js';
import { isAllClosed, shapeBox } from '../model/shape-store.js';
import { markNameOf } from './mark-names.js';
import type { RefusedRoles, ShapeRoles } from './shape-roles.js';

/** Positions are typed to a tenth or a hundredth of a millimetre. */
const typedWithin = 0.06;

/**
 * The largest circle that is a mark by where it lies, mm across: more is a hole. Common practice,
 * no source.
 */
const largestMark = 20;

export interface AssumedMarks {
  /** Names of layers and shapes that say marks, as far as marks were taken by them. */
  readonly names: readonly string[];
  /** Circles at typed positions. */
  readonly atTyped: readonly Shape[];
}

/**
 * Gives the role of marks to shapes without a role: to circles at typed positions, and to those
 * that are called marks where the drawing and the job name none. What is called a mark is never an
 * opening and never the outline.
 *
 * @param roles by name; is filled in
 * @param refused is filled in
 */
export const assumeMarks = (
  roles: ShapeRoles,
  refused: RefusedRoles,
  { typedMarks, byName }: { readonly typedMarks: readonly Point[]; readonly byName: boolean },
): AssumedMarks => {
  const { shapes } = roles;
  const nameOf = markNameOf();
  const isTyped = nearTyped(typedMarks);
  const names = new Set<string>();
  const atTyped: Shape[] = [];
  for (let i = 0; i < shapes.length; i += 1) {
    if (roles.at(i) !== 'unused') continue;
    const shape = shapes[i]!;
    const name = nameOf(shape);
    if (isTyped(shape)) atTyped.push(shape);
    else if (name === undefined) continue;
    else if (byName) names.add(name);
    else {
      refused.refuse(i, 'opening');
      refused.refuse(i, 'outline');
      continue;
    }
    if (refused.mayBe(i, 'mark')) roles.set(i, 'mark');
  }
  return { names: [...names], atTyped };
};

const nearTyped = (typed: readonly Point[]): ((shape: Shape) => boolean) => {
  if (typed.length === 0) return () => false;
  const index = new Flatbush(typed.length);
  for (const { x, y } of typed) index.add(x, y);
  index.finish();
  return (shape) => {
    if (!isAllClosed(shape)) return false;
    const { minX, minY, maxX, maxY } = shapeBox(shape);
    if (maxX - minX > largestMark || maxY - minY > largestMark) return false;
    const [x, y] = [(minX + maxX) / 2, (minY + maxY) / 2];
    if (index.neighbors(x, y, 1, typedWithin).length === 0) return false;
    return roundCentre(shape) !== undefined;
  };
};
