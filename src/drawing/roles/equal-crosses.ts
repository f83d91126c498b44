/**
 * Small crosses of one size that have no role: people draw registration marks so, and often without
 * a name that says it.
 */

import { boxOfPoints, distance, type Point } from '../../geometry/point.js';
import type { RoleEntry, Roles } from '../../job/job.js';
import { InputError } from '../../job/messages.js';
import { meetingPoint } from '../mark-sites/centre.js';
import { unitedMarks } from '../mark-sites/united-marks.js';
import type { Drawing, Shape } from '../model/drawing.js';
import { isAllOpen, shapeBox } from '../model/shape-store.js';
import { assignRoles, type RoleAssignment } from './roles.js';
import { yamlWord } from './roles-line.js';

/** A cross in one shape, or in two lines. */
export interface EqualCross {
  readonly centre: Point;
  readonly shapes: readonly Shape[];
}

export interface ProposedMarks {
  readonly crosses: readonly EqualCross[];
  /** Ids of all their shapes. */
  readonly ids: readonly string[];
  /**
   * `roles: {...}` that takes them for marks, and states what else was assumed; undefined where the
   * rest is in doubt.
   */
  readonly line: string | undefined;
}

/** A larger cross is no mark, mm across. Common practice, no source. */
const largest = 20;
/** Crosses of one size differ by less, mm. */
const equalWithin = 0.05;
/** Two marks may be anything; three of one size are meant. */
const fewest = 3;
const most = 12;
/** Of more open shapes without a role none is looked at: it is a drawing of lines. */
const mostOpen = 400;

/**
 * Nothing is taken for a mark by this: a cross may be something to cut as drawn. It is proposed to
 * whoever lists the drawing.
 *
 * @param roles of a drawing without marks
 */
export const proposedMarks = (
  drawing: Drawing,
  roles: RoleAssignment,
  typed: readonly Point[] = [],
): ProposedMarks | undefined => {
  if (roles.roles.count('mark') > 0 || roles.selectors.stated.marks) return undefined;
  const crosses = equalCrosses(roles);
  if (crosses.length === 0) return undefined;
  const shapes = crosses.flatMap((cross) => cross.shapes);
  const ids = shapes.map(({ id }) => id);
  const taken = takenAsMarks(drawing, roles.selectors, ids, typed);
  // An id may be the name of a group as well, which then says more than is meant.
  if (taken === undefined || taken.marks.length !== shapes.length) return undefined;
  if (!taken.marks.every(({ id }) => ids.includes(id))) return undefined;
  const line = taken.doubt === undefined ? (taken.line ?? marksLine(ids)) : undefined;
  return { crosses, ids, line };
};

const marksLine = (ids: readonly string[]): string => `roles: {marks: [${ids.map(yamlWord).join(', ')}]}`;

const takenAsMarks = (
  drawing: Drawing,
  selectors: Roles,
  ids: readonly string[],
  typed: readonly Point[],
): RoleAssignment | undefined => {
  const marks = ids.map((text): RoleEntry => ({ text }));
  try {
    const stated = { ...selectors.stated, marks: true };
    return assignRoles(drawing, { ...selectors, marks, stated }, typed);
  } catch (error) {
    if (error instanceof InputError) return undefined;
    throw error;
  }
};

const equalCrosses = ({ roles }: RoleAssignment): readonly EqualCross[] => {
  const open: Shape[] = [];
  for (const shape of roles.each('unused')) {
    if (!isAllOpen(shape)) continue;
    open.push(shape);
    if (open.length > mostOpen) return [];
  }
  const single = open.filter(isSmall).map((shape) => {
    const { minX, minY, maxX, maxY } = shapeBox(shape);
    return { names: [shape.id], centre: { x: (minX + maxX) / 2, y: (minY + maxY) / 2 }, shapes: [shape] };
  });
  const found = unitedMarks(single).flatMap(({ shapes }) => crossOf(shapes));
  const groups: (typeof found)[] = [];
  for (const cross of found) {
    const own = groups.find(([first]) => isAsLarge(first!, cross));
    if (own === undefined) groups.push([cross]);
    else own.push(cross);
  }
  const several = groups.filter((group) => group.length >= fewest && group.length <= most);
  return several.length === 1 ? several[0]! : [];
};

const isSmall = (shape: Shape): boolean => {
  const { minX, minY, maxX, maxY } = shapeBox(shape);
  return maxX - minX <= largest && maxY - minY <= largest;
};

interface SizedCross extends EqualCross {
  readonly size: readonly [number, number];
}

const isAsLarge = ({ size: a }: SizedCross, { size: b }: SizedCross): boolean =>
  Math.abs(a[0] - b[0]) < equalWithin && Math.abs(a[1] - b[1]) < equalWithin;

/** Two lines that halve each other, whichever way they run: an angle or a T is no cross. */
const crossOf = (shapes: readonly Shape[]): SizedCross[] => {
  const paths = shapes.flatMap((shape) => shape.paths);
  const centre = meetingPoint(paths);
  if (centre === undefined) return [];
  const boxes = shapes.map(shapeBox);
  const { minX, minY, maxX, maxY } = boxOfPoints(
    boxes.flatMap((box) => [
      { x: box.minX, y: box.minY },
      { x: box.maxX, y: box.maxY },
    ]),
  );
  const middle = { x: (minX + maxX) / 2, y: (minY + maxY) / 2 };
  const size = [maxX - minX, maxY - minY] as const;
  return distance(middle, centre) > 0.1 * Math.max(...size) ? [] : [{ centre, shapes, size }];
};
