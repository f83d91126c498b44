/** Where the pointer may be driven to on a part: a mark to be made, or something that is there anyway. */
import type { Point } from '../../geometry/point.js';

/**
 * land: a mark to be made. given: a mark at a place the job allows. drawn: a mark that the
 * drawing or the job has already. hole: a round opening small enough to be centred by
 * eye. corner: the tip of a pointed corner. rim: the rim of a round opening, touched three times. edge: one touch on a
 * straight edge.
 */
export type PlaceKind = 'land' | 'given' | 'drawn' | 'hole' | 'corner' | 'rim' | 'edge';

export interface Place {
  readonly kind: PlaceKind;
  /** Design frame, mm: the mark, the centre of a hole or rim, the tip, or where the edge is touched. */
  readonly at: Point;
  /** The name of a mark that is there already. */
  readonly mark?: string;
  /** The drawn shape it belongs to. */
  readonly shape?: string;
  /** Unit normal of an edge: only the distance from the edge is observed. Undefined: both coordinates are. */
  readonly normal?: Point;
}

/** Times the pointer is read there. */
export const readingsAt = (place: Place): number => (place.kind === 'rim' ? rimTouches : 1);

const rimTouches = 3;

/**
 * Share of the variance of one touch in each observed coordinate of a place. Three touches evenly round a rim,
 * each the distance from it, sum up to (3 / 2) of the unit matrix: n n' averages to half of it. The radius is taken as
 * unknown, for the kerf is; it does not touch the centre, because the normals sum to zero, and takes one of the three.
 */
export const readingShare = (place: Place): number => (place.kind === 'rim' ? 2 / rimTouches : 1);

/** Coordinates observed there, less unknowns of its own. */
export const coordinatesAt = (place: Place): number => (place.normal === undefined ? 2 : 1);
