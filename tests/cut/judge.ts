/** Is a cut right? Held against the second engine, both ways round, with what is argued for degenerate drawings. */
import { type CutInput, type CutResult, cutOpenings } from '../../src/cut/cut.js';
import { type Deviation, deviation } from './deviation.js';
import type { Fineness } from './flatten.js';
import { secondAnswer, statedError } from './second-engine.js';

/** Chords within 5e-5 mm of the curve; at corners their direction matters, so they turn by no more than 0.86 degrees. */
export const fineness: Fineness = { chord: 5e-5, turn: 0.015 };

export interface Judgement {
  readonly cut: CutResult;
  readonly deviation: Deviation;
  /** Tolerance and the reference's own error. */
  readonly bound: number;
  readonly fault?: string;
  /** Set when the reference leaves the answer open: a corner at the mitre limit. */
  readonly open: boolean;
}

const isWithin = (d: Deviation, bound: number): boolean =>
  d.out.distance <= bound && d.back.distance <= bound && d.wrongSide.length === 0;

/** Chords as near as this see edges that touch as touching. */
export const finest: Fineness = { chord: 1e-5, turn: 0.015 };

export const judge = (input: CutInput, chords = fineness): Judgement => {
  const cut = cutOpenings(input);
  const paths = cut.paths.map((p) => p.segments);
  const { tolerance } = input.cut;
  const bound = tolerance + statedError(input, chords);
  const reference = secondAnswer(input, chords);
  const found = deviation(paths, reference.rings, tolerance);
  const done = { cut, deviation: found, bound, open: reference.ambiguous };
  if (reference.ambiguous || isWithin(found, bound)) return done;
  // Edges that fall on one another do so within rounding only: with such seams closed the answer may be another.
  const closed = deviation(paths, secondAnswer(input, chords, { close: true }).rings, tolerance);
  if (isWithin(closed, bound)) return done;
  // A gap or width of exactly twice the offset: right is what is right for an offset a hair more or less.
  const hair = tolerance / 5;
  const more = secondAnswer(input, chords, { more: hair }).rings;
  const less = secondAnswer(input, chords, { more: -hair }).rings;
  const out = deviation(paths, [...reference.rings, ...more, ...less], tolerance).out.distance;
  const back = Math.min(
    found.back.distance,
    deviation(paths, more, tolerance).back.distance,
    deviation(paths, less, tolerance).back.distance,
  );
  if (found.wrongSide.length === 0 && out <= bound + hair && back <= bound + hair) return done;
  const place = ([x, y]: readonly [number, number]): string => `(${x.toFixed(3)}, ${y.toFixed(3)})`;
  return {
    ...done,
    fault: [
      `${found.out.distance.toFixed(4)} mm off at ${place(found.out.at)}`,
      `${found.back.distance.toFixed(4)} mm from the reference at ${place(found.back.at)}`,
      `${found.wrongSide.length} points on the wrong side${found.wrongSide[0] ? `, first ${place(found.wrongSide[0])}` : ''}`,
      `${cut.paths.length} paths, reference ${reference.rings.length}`,
    ].join('; '),
  };
};
