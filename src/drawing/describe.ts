/** What is in a drawing and how it was understood, row by row. */
import { type Path, pathBox } from '../geometry/curve.js';
import { pathLength, signedArea } from '../geometry/measure.js';
import { nestingDepths } from '../geometry/nesting.js';
import { type Box, emptyBox, joinBoxes } from '../geometry/point.js';
import { polygonOfPath } from '../geometry/polygon-of-path.js';
import type { Role, Shape } from './drawing.js';
import type { RoleAssignment } from './roles.js';
import { strokeOf } from './selectors.js';

export interface ShapeRow {
  readonly id: string;
  /** The innermost name among the groups it lies in; undefined where none has a name. */
  readonly layer?: string;
  readonly role: Role;
  /** What it was drawn as. */
  readonly kind: string;
  /** True when every subpath is closed. */
  readonly closed: boolean;
  /** Of all subpaths together, mm. */
  readonly length: number;
  /** Enclosed, without the holes, mm^2; undefined for a shape with an open subpath. */
  readonly area: number | undefined;
  readonly box: Box;
  /** Colour of its stroke, `#rrggbb`, or as written where it is no plain colour; undefined for none. */
  readonly stroke?: string;
}

/** How near to the curve nesting is decided, mm. */
const nestingTolerance = 0.01;

/**
 * One row for each shape, in the order of the file; design frame, mm. Lengths, areas and boxes are worked out when they are
 * asked for: of hundreds of thousands of shapes a screen shows a few dozen.
 */
export const describeDrawing = (assignment: RoleAssignment): ShapeRow[] =>
  assignment.shapes.map((shape) => {
    const layer = shape.layers[0];
    const closed = shape.paths.every((path) => path.closed);
    return {
      id: shape.id,
      ...(layer === undefined ? {} : { layer }),
      role: assignment.roles.get(shape.id) ?? 'unused',
      kind: shape.element,
      closed,
      ...(strokeOf(shape) === 'none' ? {} : { stroke: strokeOf(shape) }),
      get length() {
        return shape.paths.reduce((sum, path) => sum + pathLength(path), 0);
      },
      get area() {
        return closed ? enclosedArea(shape.paths) : undefined;
      },
      get box() {
        return shapeBox(shape);
      },
    };
  });

/**
 * The area between rings, mm^2: a ring inside another is a hole, one inside the hole an island again. Sides follow
 * from nesting alone, as everywhere, so the winding and the fill rule of the file have no say. For rings that do not
 * cross themselves or each other.
 */
export const enclosedArea = (rings: readonly Path[]): number => {
  if (rings.length === 1) return Math.abs(signedArea(rings[0]!));
  const depths = nestingDepths(rings.map((ring) => polygonOfPath(ring, nestingTolerance)));
  return rings.reduce((sum, ring, i) => {
    const area = Math.abs(signedArea(ring));
    return depths[i]! % 2 === 0 ? sum + area : sum - area;
  }, 0);
};

/** The exact box of a shape. */
export const shapeBox = (shape: Shape): Box =>
  shape.paths.reduce((box, path) => joinBoxes(box, pathBox(path)), emptyBox);
