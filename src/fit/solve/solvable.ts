/** Whether the marks determine a model at all, told before anything is adjusted: the reason and the cure. */
import type { Point } from '../../geometry/point.js';
import { distance } from '../../geometry/point.js';
import type { Model } from '../../job/job.js';
import type { FitFailure, Observation } from '../fit.js';
import { meanReading } from './uncertainty.js';

export const marksNeeded: Readonly<Record<Model, number>> = { shift: 1, rigid: 2, similarity: 2, affine: 3 };

const inWords = ['no', 'one', 'two', 'three'];

/** Positions closer than this are one place: a nanometre, or the rounding of large coordinates. */
const samePlace = (points: readonly Point[]): number => {
  let largest = 0;
  for (const p of points) largest = Math.max(largest, Math.abs(p.x), Math.abs(p.y));
  return Math.max(1e-6, 1e-12 * largest);
};

const inOnePlace = (points: readonly Point[]): boolean =>
  points.every((p) => distance(p, points[0]!) <= samePlace(points));

const onOneLine = (points: readonly Point[]): boolean => {
  const first = points[0]!;
  let far = first;
  for (const p of points) if (distance(p, first) > distance(far, first)) far = p;
  const size = distance(far, first);
  return points.every(
    (p) =>
      Math.abs((far.x - first.x) * (p.y - first.y) - (far.y - first.y) * (p.x - first.x)) <=
      samePlace(points) * size,
  );
};

/** Undefined when the marks and readings determine the model. */
export const obstacle = (observations: readonly Observation[], model: Model): FitFailure | undefined => {
  const needed = marksNeeded[model];
  const names = observations.map((o) => o.mark).join(', ');
  const article = model === 'affine' ? 'An affine' : `A ${model}`;
  if (observations.length === 0)
    return {
      reason: 'There is no mark with a reading.',
      cure: `Read at least ${inWords[needed]} ${needed === 1 ? 'mark' : 'marks'} for a ${model} fit, better one more.`,
    };
  if (observations.length < needed)
    return {
      reason: `${article} fit needs at least ${inWords[needed]} marks, and only ${inWords[observations.length]} (${names}) ${observations.length === 1 ? 'has' : 'have'} a reading.`,
      cure:
        model === 'affine' && observations.length === 2
          ? 'Read a third mark off the line through the other two, or use the model rigid.'
          : 'Read another mark far from the first, or use the model shift if the part cannot have turned.',
    };
  if (model === 'shift') return undefined;
  const design = observations.map((o) => o.design);
  if (inOnePlace(design))
    return {
      reason: `All marks (${names}) have the same design position, so nothing tells how the part is turned.`,
      cure: 'Correct the design positions of the marks, or read a mark somewhere else.',
    };
  if (inOnePlace(observations.map((o) => meanReading(o.readings))))
    return {
      reason: `All marks (${names}) have the same reading, so nothing tells how the part is turned.`,
      cure: 'Read each mark at its own place; probably one reading was entered for all of them.',
    };
  if (model === 'affine' && onOneLine(design))
    return {
      reason: `The marks ${names} lie on one line, so an affine fit knows nothing of what happens beside it.`,
      cure: 'Read a mark off that line, or use the model rigid or similarity.',
    };
  return undefined;
};
