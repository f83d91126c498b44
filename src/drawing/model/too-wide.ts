/** Edges that no bed could hold are a slip of the drawing, or of its unit. */

import { emptyBox, joinBoxes } from '../../geometry/point.js';
import { limits } from '../../job/bounds.js';
import { InputError } from '../../job/messages.js';
import type { Drawing, Shape } from './drawing.js';
import { shapeBox } from './shape-store.js';

/**
 * A hundred metres, mm: several times the longest bed there is. Where a drawing lies is another
 * matter: plans keep the coordinates of their country.
 */
const widestReach = limits.drawnReach.most;

/** @throws InputError for edges that reach farther than `widestReach` from end to end */
export const refuseTooWide = ({ path, units, box: whole }: Drawing, shapes: readonly Shape[]): void => {
  if (Math.max(whole.maxX - whole.minX, whole.maxY - whole.minY) <= widestReach) return;
  let box = emptyBox;
  for (const shape of shapes) {
    box = joinBoxes(box, shapeBox(shape));
    const reach = Math.max(box.maxX - box.minX, box.maxY - box.minY);
    if (reach <= widestReach || box.minX > box.maxX) continue;
    throw new InputError({
      found: `edges that reach over ${Math.round(reach / 1000)} m`,
      expected: `a part of at most ${widestReach / 1000} m`,
      where: { file: path, ...(shape.line === undefined ? {} : { line: shape.line }), element: shape.id },
      next: `Correct the unit (now ${units}), or remove what lies far from the part.`,
    });
  }
};
