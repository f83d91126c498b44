/** What was read, in the frames of the fit. */
import { apply } from '../geometry/affine.js';
import { boxDiagonal, boxOfPoints, type Point } from '../geometry/point.js';
import { type Job, type JobReading, type WitnessReading, whereInJob } from '../job/job.js';
import { InputError } from '../job/messages.js';
import { nearestWord } from '../job/nearest.js';
import { quoted } from '../job/quoted.js';
import { displayToTrue, faceMatrix } from './frames.js';
import type { DrawnMarks } from './resolve-marks.js';
import { asArrived, type UnknownSide, unknownSideOf } from './sides.js';

/** One mark with all its readings: an observation of the fit. */
export interface MarkReadings {
  readonly mark: string;
  /** Design position, after `face` (mirrored for face down), mm. */
  readonly design: Point;
  /** Single readings in true bed mm; one or more. */
  readonly readings: readonly Point[];
  /** Where it is not known from which side the mark was reached, and that matters. */
  readonly side?: UnknownSide;
}

/**
 * The readings of a job, then its witness readings (named `witness 1`, `witness 2` ... in the order
 * of the file), each with its design position after `face` and its readings in true bed mm.
 * @param marks from `resolveMarks`, which has made sure that each reading has its mark.
 * @param drawn finds witness points that are named by a drawn shape.
 * @throws InputError for a witness point that is neither a mark nor a drawn shape.
 */
export const observationsOf = (
  job: Job,
  marks: ReadonlyMap<string, Point>,
  drawn?: Pick<DrawnMarks, 'shapeCentre' | 'shapeIds'>,
): MarkReadings[] => {
  const face = faceMatrix(job.face);
  const toTrue = displayToTrue(job.machine);
  const observed = (
    mark: string,
    design: Point,
    at: readonly Point[],
    directions?: JobReading['directions'],
  ): MarkReadings => {
    const side = unknownSideOf(job, directions);
    return {
      mark,
      design: apply(face, design),
      readings: at.map((p, i) => toTrue(asArrived(p, directions?.[i], job.machine))),
      ...(side === undefined ? {} : { side }),
    };
  };
  const observations = job.readings.map(({ mark, at, directions }) => {
    const design = marks.get(mark);
    if (!design) throw new RangeError(`no mark ${quoted(mark)}: resolve the marks of this job first`);
    return observed(mark, design, at, directions);
  });
  const taken = new Set(marks.keys());
  for (const [index, witness] of (job.witness ?? []).entries()) {
    const design = witnessPoint(job, index, witness, marks, drawn);
    let name = `witness ${index + 1}`;
    while (taken.has(name)) name = `${name} (witness)`;
    observations.push(observed(name, design, witness.at, witness.directions));
  }
  return observations;
};

const witnessPoint = (
  job: Job,
  index: number,
  { point }: WitnessReading,
  marks: ReadonlyMap<string, Point>,
  drawn: Pick<DrawnMarks, 'shapeCentre' | 'shapeIds'> | undefined,
): Point => {
  if ('at' in point) return point.at;
  const found = marks.get(point.name) ?? drawn?.shapeCentre(point.name);
  if (found) return found;
  const nearest = nearestWord(point.name, [...marks.keys(), ...(drawn?.shapeIds ?? [])]);
  throw new InputError({
    found: `the witness point ${quoted(point.name)}, which is neither a mark nor a drawn shape`,
    expected: 'the name of a mark or shape, or a design position [x, y]',
    where: whereInJob(job, `witness[${index + 1}].point`),
    next: nearest === undefined ? 'Type its design position instead.' : `Did you mean ${quoted(nearest)}?`,
  });
};

/**
 * How far repeated readings lie apart, mm: the diagonal of the box that holds them. Two readings:
 * their distance; more: up to 1.42 times the largest distance between two of them. 0 for a single
 * reading.
 */
export const spreadOf = (readings: readonly Point[]): number =>
  readings.length < 2 ? 0 : boxDiagonal(boxOfPoints(readings));

/** The mark whose repeated readings lie furthest apart; undefined when no mark was read twice. */
export const largestSpread = (
  observations: readonly MarkReadings[],
): { readonly mark: string; readonly spread: number } | undefined => {
  let largest: { mark: string; spread: number } | undefined;
  for (const { mark, readings } of observations) {
    if (readings.length < 2) continue;
    const spread = spreadOf(readings);
    if (!largest || spread > largest.spread) largest = { mark, spread };
  }
  return largest;
};
