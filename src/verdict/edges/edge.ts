/** The existing edges of the placed openings as the points and outward normals whose margin has to hold. */
import type { Shape } from '../../drawing/model/drawing.js';
import type { Matrix } from '../../geometry/affine.js';
import { type Box, boxDiagonal, emptyBox } from '../../geometry/point.js';
import { withPassingRings } from '../../geometry/rings/stored-ring.js';
import { ConstraintList } from './constraint-list.js';
import {
  type CornerRoom,
  type CornerSettings,
  cornerRooms,
  gainAndExtra,
  partsOfCorner,
} from './corner-room.js';
import { type EdgeRing, edgeRings } from './edge-rings.js';
import { fieldsOfChain, hasLongSteps, withPointsBetween } from './edge-samples.js';
import { boxOfChain } from './entangled.js';
import { type Unreached, unreached } from './unreached.js';

export interface EdgeSettings extends CornerSettings {
  /** Lost motion in the cut, mm per axis; absent: none. */
  readonly cutReversal?: readonly [number, number];
  /** Where the panel may be bowed: the largest distance between constraints of one line, mm. */
  readonly longest?: number;
}

/** Constraints of one opening: at (x[i], y[i]) the new edge is set back along the unit normal. True bed mm. */
export interface Edge {
  readonly id: string;
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly normalX: Float64Array;
  readonly normalY: Float64Array;
  /** How the room for the approach differs from the clearance; absent where it is the clearance everywhere. */
  readonly room?: EdgeRoom;
  /** Where all or some of it is a round edge that was measured. */
  readonly rim?: EdgeRim;
  /** What is lost of the room at each constraint, whatever the errors, mm: lost motion in the cut. Absent: nothing. */
  readonly loss?: Float64Array;
}

/** A round edge whose radius the fit has found. */
export interface EdgeRim {
  /** Among the radii that the fit has found. */
  readonly number: number;
  /** For each constraint 1 where the edge comes nearer as the radius grows, -1 as it shrinks, 0 where it is no part of the rim. */
  readonly signs: Int8Array;
  /** Those signs that occur. */
  readonly sides: readonly (-1 | 0 | 1)[];
}

/** Constraint i is touched where its approach exceeds  gain[i] x clearance + extra[i],  mm. See corner-room.ts. */
export interface EdgeRoom {
  readonly gain: Float64Array;
  readonly extra: Float64Array;
}

export const roomAt = ({ room }: Edge, i: number, clearance: number): number =>
  room === undefined ? clearance : room.gain[i]! * clearance + room.extra[i]!;

/** Box of the points start..end-1; of all by default. */
export const edgeBox = ({ x, y }: Edge, start = 0, end = x.length): Box => {
  let { minX, minY, maxX, maxY } = emptyBox;
  for (let i = start; i < end; i++) {
    const px = x[i]!;
    const py = y[i]!;
    if (px < minX) minX = px;
    if (px > maxX) maxX = px;
    if (py < minY) minY = py;
    if (py > maxY) maxY = py;
  }
  return { minX, minY, maxX, maxY };
};

/**
 * Largest turn of the normal from one constraint to the next, radians: between two of them n . d is missed by at most
 * 1 - cos(turn / 2) of its size, 2.5e-4. Where a curve bends unevenly the points lie closer, `largestArm` of the
 * opening's size; a turn of the part about the opening itself moves its ends by half that size, so this is another
 * 2.5e-4. Both are well below what the draws leave open.
 */
export const largestTurn = 2 * Math.acos(1 - 2.5e-4);
export const largestArm = 1.25e-4;
const sineOfLargestTurn = Math.sin(largestTurn);

/**
 * Edges of the openings placed by `matrix` (design after face -> true bed mm), one per opening in the order given; the
 * edge of an opening is empty where it has no closed path, or lies within other openings (edge-rings.ts).
 *
 * At a corner whose normals spread (a tip pointing into the material of an opening) a rounded new edge asks for every
 * normal between those of the two edges, a mitred one for as much of it as the beam rounds the mitre off
 * (corner-room.ts). Where two parallels meet on the hollow side the two edge normals suffice. This is the exact
 * condition for a corner that moves by d: it crosses the new edge when n . d reaches the room for one of these n.
 *
 * For every shape, features smaller than the clearance included, the constraints are never too few: if the
 * edge moves by d (no turn), the largest distance by which it leaves the set-back region grows along d only
 * with n . d for normals n of the edge. They can be more than needed where the set-back swallows a feature. Tips and necks
 * that a beam wider than twice the clearance does not get into have as much room as it leaves them (unreached.ts); needed
 * clearances below the one asked for do not count any that it gets into with that one.
 */
export const placedEdges = (openings: readonly Shape[], matrix: Matrix, settings: EdgeSettings): Edge[] => {
  const constraints = new ConstraintList(openings.length, settings.cutReversal);
  const rings = edgeRings(openings, matrix, { turn: largestTurn, arm: largestArm });
  withPassingRings(() => {
    const lost = unreached(openings, matrix, settings);
    for (const ring of rings) addConstraints(denseEnough(ring, settings), settings, lost, constraints);
  });
  return openings.map(({ id }, i): Edge => ({ id, ...constraints.of(i) }));
};

const denseEnough = (ring: EdgeRing, { longest }: EdgeSettings): EdgeRing => {
  if (longest === undefined) return ring;
  if (!hasLongSteps(ring.chain, longest)) return ring;
  const { chain, from } = withPointsBetween(ring.chain, longest, 2 * largestTurn);
  const { opening } = ring;
  return { ...ring, chain, opening: typeof opening === 'number' ? opening : from.map((i) => opening[i]!) };
};

const addConstraints = (
  { chain, opening, material }: EdgeRing,
  settings: EdgeSettings,
  lost: Unreached | undefined,
  constraints: ConstraintList,
): void => {
  // 1: the set-back side lies to the right of travel. An inlay is set back from the material.
  const isOpening = settings.kind === 'opening';
  const side = isOpening ? material : -material;
  const grow = isOpening ? settings.pierced : -settings.pierced;
  const size = lost === undefined ? 0 : boxDiagonal(boxOfChain(chain));
  const n = chain.length;
  let sineBefore = 0;
  // On a bend between two bends; the first sample of a ring counts as on a straight part, which takes no less.
  let turnedBefore = false;
  for (let i = 0; i < n; i += fieldsOfChain) {
    const next = i + fieldsOfChain === n ? 0 : i + fieldsOfChain;
    const x = chain[i]!;
    const y = chain[i + 1]!;
    const dx = chain[i + 2]!;
    const dy = chain[i + 3]!;
    const ex = chain[next + 2]!;
    const ey = chain[next + 3]!;
    const sine = dx * ey - dy * ex;
    const cosine = dx * ex + dy * ey;
    const isStraightOn = Math.abs(sine) < 1e-9 && cosine > 0;
    // A smooth joint: the same constraint comes again with the next sample.
    if (isStraightOn && Math.abs(chain[next]! - x) + Math.abs(chain[next + 1]! - y) < 1e-9) continue;
    const owner = typeof opening === 'number' ? opening : opening[i / fieldsOfChain]!;
    const nx = side * dy;
    const ny = -side * dx;
    let [gain, extra]: readonly [number, number] = [1, 0];
    if (lost !== undefined) {
      const normal = { x: nx, y: ny };
      const isHollow = side * sine < -1e-9 || side * sineBefore < -1e-9;
      [gain, extra] = lost({ x, y }, normal, isHollow, size) ?? [gain, extra];
      if (isStraightOn) {
        // The walls of a neck lie bare between points that the beam gets to.
        const middle = { x: (x + chain[next]!) / 2, y: (y + chain[next + 1]!) / 2 };
        const bare = lost(middle, normal, true, size, 0, 0);
        if (bare) constraints.add(owner, middle.x + grow * nx, middle.y + grow * ny, nx, ny, ...bare, false);
      }
      sineBefore = sine;
    }
    const turnsOn = !isStraightOn && Math.abs(sine) < sineOfLargestTurn && cosine > 0;
    constraints.add(owner, x + grow * nx, y + grow * ny, nx, ny, gain, extra, turnsOn && turnedBefore);
    turnedBefore = turnsOn;
    if (Math.abs(sine) < sineOfLargestTurn && cosine > 0) continue;
    const turn = Math.atan2(sine, cosine);
    // Half a turn has no sign of its own: taken as pointed.
    const fans = side * turn > 0 || Math.abs(turn) > Math.PI - 1e-9;
    const corner = { owner, x: chain[next]!, y: chain[next + 1]!, nx, ny, turn, grow, size };
    for (const room of cornerRooms(turn, fans, settings)) {
      addCorner(constraints, corner, room, fans ? lost : undefined, settings);
    }
  }
};

interface Corner {
  readonly owner: number;
  readonly x: number;
  readonly y: number;
  /** Normal of the edge that arrives. */
  readonly nx: number;
  readonly ny: number;
  readonly turn: number;
  readonly grow: number;
  /** Of its ring, mm. */
  readonly size: number;
}

const addCorner = (
  constraints: ConstraintList,
  { owner, x, y, nx, ny, turn, grow, size }: Corner,
  room: CornerRoom,
  lost: Unreached | undefined,
  settings: EdgeSettings,
): void => {
  const parts = partsOfCorner(room, turn, largestTurn, settings);
  for (let k = 1; k < parts; k++) {
    const angle = (turn * k) / parts;
    const c = Math.cos(angle);
    const s = Math.sin(angle);
    const mx = c * nx - s * ny;
    const my = s * nx + c * ny;
    const own = gainAndExtra(room, angle - turn / 2, turn / 2);
    const [gain, extra] = lost?.({ x, y }, { x: mx, y: my }, false, size, ...own) ?? own;
    constraints.add(owner, x + grow * mx, y + grow * my, mx, my, gain, extra, false);
  }
};
