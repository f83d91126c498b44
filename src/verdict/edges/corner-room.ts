/** How far a corner may come before the new edge touches it: the corner as both tools really leave it. */
import type { Corners, CutKind } from '../../job/job.js';

export interface CornerSettings {
  readonly kind: Exclude<CutKind, 'as-drawn'>;
  readonly corners: Corners;
  /** Ratio of mitre length to distance above which a mitred corner is rounded all the same. */
  readonly mitreLimit: number;
  /** How far the existing edge lies outside the drawn one, mm: half the piercing kerf where it was not compensated. */
  readonly pierced: number;
  /** What the corners are made with; absent: as if by tools without width. */
  readonly tools?: Tools;
}

/** Radii, mm. */
export interface Tools {
  /** Of the beam that cuts now: half its kerf. */
  readonly beam: number;
  /** Of the one that pierced the existing edge; 0 where that edge is as drawn, corners too. */
  readonly piercing: number;
  /** The clearance the corners are looked at for: how finely their roundings are divided. */
  readonly clearance: number;
}

/**
 * Along the unit normal n at a corner the existing edge may move by  gain(n) x clearance + extra(n)  before it touches the
 * new one. With w = cos(angle of n from the middle of the two edge normals) / cos(half the turn):
 *
 *     pointed  gain w, extra (1 - w) radius     a beam path with a corner, rounded by the beam
 *     round    gain 1, extra (w - 1) radius     a beam path that runs round the corner
 *
 * Derivation: a region grown by t with a mitred corner reaches w t along n, one grown by a disc of radius r reaches r. So a
 * pointed beam path at the distance c - r and the beam's radius r reach  w (c - r) + r  from the drawn corner. What is
 * subtracted for a rounded existing corner works likewise. Edges of convex corners touch nowhere as long as the support
 * function of one plus n . d stays below that of the other, for every n between the edge normals (R. Schneider, *Convex
 * Bodies*, support functions; from memory).
 */
export interface CornerRoom {
  readonly form: 'pointed' | 'round';
  /** mm; negative where the existing corner is the rounder one. */
  readonly radius: number;
}

/**
 * The rooms that hold at a corner, all at once: the least of them counts. None: the normals of its two edges suffice.
 *
 * @param turn of the edge, radians; `fans`: its normals on the set-back side spread, as at a tip pointing into the material
 * of an opening
 */
export const cornerRooms = (turn: number, fans: boolean, settings: CornerSettings): readonly CornerRoom[] => {
  const { kind, tools, pierced } = settings;
  const piercing = tools?.piercing ?? 0;
  // An inlay's corner in an opening's corner: the inlay comes out pointed, the opening as round as its tool was.
  if (!fans) return kind === 'inlay' && piercing > 0 ? [{ form: 'pointed', radius: piercing }] : [];
  const pointed = pointedRadius(settings);
  const rooms: CornerRoom[] = [];
  // Behind a tip without rounding a mitre reaches farther than its edges do.
  if (pointed > 0) rooms.push({ form: 'pointed', radius: pointed });
  if (isRounded(turn, settings)) {
    const radius = kind === 'opening' ? (pierced > 0 ? 0 : piercing) : pierced;
    rooms.push({ form: 'round', radius });
  }
  return rooms;
};

/** Radius of a pointed corner's room, mm: how much rounder the beam makes it than the existing one is. */
export const pointedRadius = ({ kind, tools }: CornerSettings): number => {
  const { beam = 0, piercing = 0 } = tools ?? {};
  return kind === 'opening' ? beam - piercing : beam;
};

/** Mitre length over distance is 1 / sin(half the inner angle) (W3C SVG, stroke-miterlimit). */
const isRounded = (turn: number, { corners, mitreLimit }: CornerSettings): boolean =>
  corners === 'round' || 1 > mitreLimit * Math.sin((Math.PI - Math.abs(turn)) / 2);

/**
 * Into how many parts the angle between the two edge normals has to be divided so that between two normals the room is
 * missed by no more than between points of a circle that lie `largestTurn` apart. Towards a sharp corner (radius against
 * room) the limit curve straightens, and fewer do.
 */
export const partsOfCorner = (
  { form, radius }: CornerRoom,
  turn: number,
  largestTurn: number,
  settings: CornerSettings,
): number => {
  const clearance = settings.tools?.clearance ?? 0;
  // Also for needed clearances down to half the one asked for.
  const share = form === 'round' || clearance === 0 ? 1 : Math.min(1, (2 * radius) / clearance);
  return Math.ceil((Math.abs(turn) / largestTurn) * Math.sqrt(share));
};

export const gainAndExtra = (
  { form, radius }: CornerRoom,
  fromMiddle: number,
  halfTurn: number,
): readonly [gain: number, extra: number] => {
  // Half a turn has no mitre; its tip is as far as numbers go.
  const w = Math.cos(fromMiddle) / Math.max(1e-9, Math.cos(halfTurn));
  return form === 'pointed' ? [w, (1 - w) * radius] : [1, (w - 1) * radius];
};
