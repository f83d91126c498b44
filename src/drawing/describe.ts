/** What is in a drawing and how it was understood, row by row. */

import type { Path } from '../geometry/curve.js';
import { pathLength, signedArea } from '../geometry/measure.js';
import type { Box } from '../geometry/point.js';
import { nestingOf, ringOfPath } from '../geometry/rings/nesting.js';
import { segmentsNow } from '../geometry/stored-path.js';
import type { Role, Shape } from './model/drawing.js';
import { layerSeen } from './model/seen-name.js';
import { isAllClosed, shapeBox, transientPaths } from './model/shape-store.js';
import type { RoleAssignment } from './roles/roles.js';
import { strokeOf } from './roles/selectors.js';

export interface ShapeRow {
  readonly id: string;
  /** The innermost name among the groups it lies in; undefined where none has a name. */
  readonly layer?: string | undefined;
  /** The same by the name under which it is seen: a label before an id that a program made up. */
  readonly layerSeen?: string | undefined;
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
  /**
   * Colour of its stroke, `#rrggbb`, or as written where it is no plain colour; undefined for none.
   */
  readonly stroke?: string | undefined;
  /** Colour of its area, in the same way. */
  readonly fill?: string | undefined;
}

/**
 * One row for each shape, in the order of the file; design frame, mm. Lengths, areas and boxes are
 * worked out when they are asked for: of hundreds of thousands of shapes a screen shows a few
 * dozen.
 */
export const describeDrawing = ({ shapes, roles }: RoleAssignment): ShapeRow[] =>
  shapes.map((shape, i) => new Row(shape, roles.at(i)));

/** The row of one shape, by its place: of very many none need be kept. */
export const rowAt = ({ shapes, roles }: RoleAssignment, place: number): ShapeRow =>
  new Row(shapes[place]!, roles.at(place));

class Row implements ShapeRow {
  constructor(
    private readonly shape: Shape,
    readonly role: Role,
  ) {}

  get id(): string {
    return this.shape.id;
  }

  get layer(): string | undefined {
    return this.shape.layers[0];
  }

  get layerSeen(): string | undefined {
    return layerSeen(this.shape);
  }

  get kind(): string {
    return this.shape.element;
  }

  get closed(): boolean {
    return isAllClosed(this.shape);
  }

  get stroke(): string | undefined {
    const stroke = strokeOf(this.shape);
    return stroke === 'none' ? undefined : stroke;
  }

  get fill(): string | undefined {
    return this.shape.fill;
  }

  get length(): number {
    return transientPaths(this.shape).reduce((sum, path) => sum + pathLength(passing(path)), 0);
  }

  get area(): number | undefined {
    return this.closed ? enclosedArea(transientPaths(this.shape)) : undefined;
  }

  get box(): Box {
    return shapeBox(this.shape);
  }
}

/**
 * The area between rings, mm^2: a ring inside another is a hole, one inside the hole an island
 * again. Sides follow from nesting alone (geometry/rings/nesting.ts), so the winding and the fill
 * rule of the file have no say. For rings that do not cross themselves or each other.
 */
export const enclosedArea = (rings: readonly Path[]): number => {
  const nesting = nestingOf(rings.map((ring) => ringOfPath(ring)));
  return rings.reduce((sum, ring, i) => {
    const area = Math.abs(signedArea(passing(ring)));
    return nesting.level(i) % 2 === 0 ? sum + area : sum - area;
  }, 0);
};

/** A path whose segments are not kept: there may be very many in one shape. */
const passing = (path: Path): Path => ({ segments: segmentsNow(path), closed: path.closed });
