/**
 * From the machine's display to true millimetres on the bed and back. Every step is affine:
 *
 *     display --(lost motion)--> --(y-down: y -> -y)--> y up --(bed map)--> true bed mm      where the pointer looks
 *     true bed mm --(bed map^-1)--> --(turn back)--> --(minus beam offset)--> machine      what is cut
 *
 * Bed map: x_true = sx x - sy y sin g,  y_true = sy y cos g. The skew g is how far the machine's y
 * axis leans from square to its x axis, counter-clockwise positive.
 *
 * Lost motion: a display shows half the reversal r more than the place on arrival with rising
 * figures (v = 1), half of it less with falling ones (v = -1): place = display - v r/2 per axis
 * (ISO 230-2, from memory). An offset measured on dots burnt after a motion of sign b and read
 * after one of sign v comes out (v - b) r/2 too large.
 */
import { apply, compose, type Matrix, mirrorX, scaling, translation } from '../geometry/affine.js';
import type { Point } from '../geometry/point.js';
import type { Job, Machine } from '../job/job.js';

type Bed = Pick<Machine, 'axes' | 'bedMap' | 'pointerLead'>;

const turn = (machine: Bed): Matrix => scaling(1, machine.axes === 'y-down' ? -1 : 1);

/** Display coordinates of the pointer -> true bed mm. */
export const displayToTrueMatrix = (machine: Bed): Matrix => {
  const { scale, skew } = machine.bedMap;
  const bedMap: Matrix = [scale[0], 0, -scale[1] * Math.sin(skew), scale[1] * Math.cos(skew), 0, 0];
  const { pointerLead: lead } = machine;
  const onBed = compose(bedMap, turn(machine));
  return lead === undefined ? onBed : compose(onBed, translation(-lead.x, -lead.y));
};

/**
 * True bed mm -> display coordinates at which the pointer stands there, having come from the side
 * the job says.
 */
export const trueToPointerMatrix = (machine: Bed): Matrix => {
  const { pointerLead: lead } = machine;
  const display = trueToDisplay(machine);
  return lead === undefined ? display : compose(translation(lead.x, lead.y), display);
};

const trueToDisplay = (machine: Bed): Matrix => {
  const { scale, skew } = machine.bedMap;
  const inverse: Matrix = [1 / scale[0], 0, Math.tan(skew) / scale[0], 1 / (scale[1] * Math.cos(skew)), 0, 0];
  return compose(turn(machine), inverse);
};

/**
 * True bed mm -> display coordinates to send the machine to so that its beam burns there: the beam
 * burns at the displayed position plus the beam offset, which is measured along the display's axes.
 */
export const trueToMachineMatrix = (machine: Bed & Offset): Matrix => {
  const { x, y } = trueOffset(machine);
  return compose(translation(-x, -y), trueToDisplay(machine));
};

type Offset = Pick<Machine, 'beamOffset' | 'beamOffsetApproach' | 'beamOffsetDots' | 'reversal'>;

/** The beam offset less what lost motion is known to have added to it, mm. */
const trueOffset = ({ beamOffset, beamOffsetApproach, beamOffsetDots, reversal }: Offset): Point => {
  if (reversal === undefined) return beamOffset;
  const added = (axis: 0 | 1): number =>
    (((beamOffsetApproach?.[axis] ?? 0) - (beamOffsetDots?.[axis] ?? 0)) * reversal[axis]) / 2;
  return { x: beamOffset.x - added(0), y: beamOffset.y - added(1) };
};

export const displayToTrue = (machine: Bed): ((p: Point) => Point) => {
  const matrix = displayToTrueMatrix(machine);
  return (p) => apply(matrix, p);
};

export const trueToPointer = (machine: Bed): ((p: Point) => Point) => {
  const matrix = trueToPointerMatrix(machine);
  return (p) => apply(matrix, p);
};

/**
 * Drawing -> the design as it lies on the bed before it is turned and shifted: mirrored when face
 * down.
 */
export const faceMatrix = (face: Job['face']): Matrix => (face === 'down' ? mirrorX : scaling(1, 1));
