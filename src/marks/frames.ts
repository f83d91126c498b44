/**
 * From the machine's display to true millimetres on the bed and back. Every step is affine:
 *
 *     display --(y-down: y -> -y)--> y up --(bed map)--> true bed mm            where the pointer looks
 *     true bed mm --(bed map^-1)--> --(turn back)--> --(minus beam offset)--> machine      what is cut
 *
 * Bed map: x_true = sx x - sy y sin g,  y_true = sy y cos g. The skew g is how far the machine's y axis leans from
 * square to its x axis, counter-clockwise positive.
 */
import { apply, compose, type Matrix, mirrorX, scaling, translation } from '../geometry/affine.js';
import type { Point } from '../geometry/point.js';
import type { Job, Machine } from '../job/job.js';

type Bed = Pick<Machine, 'axes' | 'bedMap'>;

const turn = (machine: Bed): Matrix => scaling(1, machine.axes === 'y-down' ? -1 : 1);

/** Display coordinates of the pointer -> true bed mm. */
export const displayToTrueMatrix = (machine: Bed): Matrix => {
  const { scale, skew } = machine.bedMap;
  const bedMap: Matrix = [scale[0], 0, -scale[1] * Math.sin(skew), scale[1] * Math.cos(skew), 0, 0];
  return compose(bedMap, turn(machine));
};

/** True bed mm -> display coordinates at which the pointer stands there. */
export const trueToPointerMatrix = (machine: Bed): Matrix => {
  const { scale, skew } = machine.bedMap;
  const inverse: Matrix = [1 / scale[0], 0, Math.tan(skew) / scale[0], 1 / (scale[1] * Math.cos(skew)), 0, 0];
  return compose(turn(machine), inverse);
};

/**
 * True bed mm -> display coordinates to send the machine to so that its beam burns there: the beam burns at the
 * displayed position plus the beam offset, which is measured along the display's axes.
 */
export const trueToMachineMatrix = (machine: Bed & Pick<Machine, 'beamOffset'>): Matrix =>
  compose(translation(-machine.beamOffset.x, -machine.beamOffset.y), trueToPointerMatrix(machine));

export const displayToTrue = (machine: Bed): ((p: Point) => Point) => {
  const matrix = displayToTrueMatrix(machine);
  return (p) => apply(matrix, p);
};

export const trueToPointer = (machine: Bed): ((p: Point) => Point) => {
  const matrix = trueToPointerMatrix(machine);
  return (p) => apply(matrix, p);
};

/** Drawing -> the design as it lies on the bed before it is turned and shifted: mirrored when face down. */
export const faceMatrix = (face: Job['face']): Matrix => (face === 'down' ? mirrorX : scaling(1, 1));
