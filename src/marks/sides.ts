/** From which side the pointer came to what was read, and what that leaves unknown. */
import type { Point } from '../geometry/point.js';
import type { Sides } from '../job/error-kinds.js';
import type { Job, Machine } from '../job/job.js';

/**
 * Half the lost motion, mm per axis, of a mark or touch reached from a side that nothing tells; 0
 * on an axis where it is known, and corrected. `alike`: all such readings of the job were reached
 * from the same side.
 */
export interface UnknownSide {
  readonly x: number;
  readonly y: number;
  readonly alike: readonly [x: boolean, y: boolean];
}

/** What is unknown of one mark's readings; undefined where nothing is. */
export const unknownSideOf = (
  { fit, machine }: Pick<Job, 'fit' | 'machine'>,
  directions?: readonly (Sides | undefined)[],
): UnknownSide | undefined => {
  const { reversal } = machine;
  if (reversal === undefined) return undefined;
  const isStated = (axis: 0 | 1): boolean =>
    typeof fit.approach?.[axis] === 'number' ||
    directions?.every((one) => one?.[axis] !== undefined) === true;
  const half = (axis: 0 | 1): number => (isStated(axis) ? 0 : Math.abs(reversal[axis]) / 2);
  const [x, y] = [half(0), half(1)];
  if (x === 0 && y === 0) return undefined;
  return { x, y, alike: [fit.approach?.[0] === 'same', fit.approach?.[1] === 'same'] };
};

/**
 * A reading whose own direction is said, as the display would have shown it on arrival from where
 * the job says (or, where it says nothing, without lost motion): the frames take it from there.
 */
export const asArrived = (
  at: Point,
  direction: Sides | undefined,
  { reversal, pointerLead }: Pick<Machine, 'reversal' | 'pointerLead'>,
): Point => {
  if (direction === undefined || reversal === undefined) return at;
  const along = (axis: 0 | 1, value: number, lead: number): number => {
    const side = direction[axis];
    return side === undefined ? value : value - (side * reversal[axis]) / 2 + lead;
  };
  return { x: along(0, at.x, pointerLead?.x ?? 0), y: along(1, at.y, pointerLead?.y ?? 0) };
};

/**
 * What the sides of the beam offset leave unknown, mm per axis, one figure for each cause: a common
 * shift of everything that is cut, at most so far. Nothing where the pointer is the beam.
 */
export const unknownOffsetSides = (
  machine: Pick<Machine, 'reversal' | 'beamOffset' | 'beamOffsetApproach' | 'beamOffsetDots'>,
): Point[] => {
  const { reversal, beamOffset, beamOffsetApproach: read, beamOffsetDots: burnt } = machine;
  if (reversal === undefined) return [];
  const isUsed = beamOffset.x !== 0 || beamOffset.y !== 0 || read !== undefined || burnt !== undefined;
  if (!isUsed) return [];
  return [read, burnt]
    .map((sides) => ({
      x: sides?.[0] === undefined ? Math.abs(reversal[0]) / 2 : 0,
      y: sides?.[1] === undefined ? Math.abs(reversal[1]) / 2 : 0,
    }))
    .filter(({ x, y }) => x > 0 || y > 0);
};
