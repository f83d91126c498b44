/** What the entities of a DXF file say, in the units of the file, before they are placed. */

import type { LeftOutEntity, Properties } from './properties.js';

export interface Vector {
  readonly x: number;
  readonly y: number;
  readonly z: number;
}

/**
 * Where the z axis of an entity's own coordinates points: out of the page, into it (the entity is
 * seen from behind, x to the left), or anywhere else.
 */
export type Facing = 'up' | 'down' | 'tilted';

interface Drawn {
  readonly properties: Properties;
}

export interface LineEntity extends Drawn {
  readonly kind: 'line';
  readonly from: Vector;
  readonly to: Vector;
}

/** CIRCLE and ARC; the angles counter-clockwise in the entity's own coordinates, radians. */
export interface RoundEntity extends Drawn {
  readonly kind: 'round';
  readonly facing: Facing;
  readonly centre: Vector;
  readonly radius: number;
  readonly start: number;
  readonly sweep: number;
}

/** In coordinates of the world: centre + major cos t + minor sin t. */
export interface EllipseEntity extends Drawn {
  readonly kind: 'ellipse';
  readonly facing: Facing;
  readonly centre: Vector;
  readonly major: Vector;
  readonly ratio: number;
  readonly start: number;
  readonly sweep: number;
}

/** LWPOLYLINE and the POLYLINE in a plane. */
export interface PolylineEntity extends Drawn {
  readonly kind: 'polyline';
  readonly facing: Facing;
  /** x, y and bulge of each vertex, one after another. */
  readonly vertices: Float64Array;
  readonly closed: boolean;
  /** True when it is drawn as a band. */
  readonly wide: boolean;
}

/** The POLYLINE in space. */
export interface SpacePolylineEntity extends Drawn {
  readonly kind: 'space-polyline';
  /** x, y and z of each vertex, one after another. */
  readonly vertices: Float64Array;
  readonly closed: boolean;
}

/** SPLINE with control points. */
export interface SplineEntity extends Drawn {
  readonly kind: 'spline';
  readonly degree: number;
  readonly knots: readonly number[];
  readonly controls: readonly Vector[];
  /** Undefined where all are equal. */
  readonly weights: readonly number[] | undefined;
  readonly closed: boolean;
}

/** SPLINE that states only points to pass through. */
export interface FitSplineEntity extends Drawn {
  readonly kind: 'fit-spline';
  readonly points: readonly Vector[];
  readonly startTangent: Vector | undefined;
  readonly endTangent: Vector | undefined;
  readonly closed: boolean;
}

export interface InsertEntity extends Drawn {
  readonly kind: 'insert';
  readonly facing: Facing;
  readonly block: string;
  readonly insertion: Vector;
  readonly scale: readonly [number, number];
  /** Radians. */
  readonly rotation: number;
  readonly columns: number;
  readonly rows: number;
  /** Between columns and between rows, along the turned axes. */
  readonly spacing: readonly [number, number];
}

export type CurveEntity =
  | LineEntity
  | RoundEntity
  | EllipseEntity
  | PolylineEntity
  | SpacePolylineEntity
  | SplineEntity
  | FitSplineEntity;

export type DxfEntity = CurveEntity | InsertEntity | LeftOutEntity;
