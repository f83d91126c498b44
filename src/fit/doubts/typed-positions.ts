/** Whether the readings agree with marks at other positions than the typed ones, and which those probably are. */

import { apply, decompose, invert, type Matrix } from '../../geometry/affine.js';
import { distance, type Point } from '../../geometry/point.js';
import type { Job } from '../../job/job.js';
import { faceMatrix } from '../../marks/frames.js';
import {
  exchangedMarks,
  type MarkGround,
  placeWords,
  type Retyping,
  retypings,
  typedElsewhere,
  typedPlaces,
} from '../../marks/typed-marks.js';
import { adjust } from '../adjust.js';
import type { Fit, FitOptions, Observation } from '../fit.js';
import { decimalsOf, variantsOf } from '../slips/typed-number.js';
import { meanReading } from '../solve/uncertainty.js';
import type { TypedDesign } from './remedies.js';

/** A fit that is less probable than this does not explain the readings. */
const explainsAbove = 0.001;
/** Where no sd is stated the marks must agree to this, mm rms. Common practice, no source. */
const agreesWithin = 1.5;

/** @param face of the job: typed positions are those before it */
const atPositions = (
  observations: readonly Observation[],
  places: ReadonlyMap<string, Point>,
  face: Matrix,
): Observation[] =>
  observations.map((o) => {
    const at = places.get(o.mark);
    return at === undefined ? o : { ...o, design: apply(face, at) };
  });

/** The fit with marks at other positions, where that explains the readings; undefined where it does not. */
const explained = (observations: readonly Observation[], options: FitOptions): Fit | undefined => {
  const outcome = adjust(observations, options);
  if (!outcome.ok || outcome.fit.redundancy === 0) return undefined;
  const { consistency, rms } = outcome.fit;
  const agrees =
    options.readingSd === undefined
      ? rms <= agreesWithin
      : consistency === undefined || consistency.pValue >= explainsAbove;
  return agrees ? outcome.fit : undefined;
};

/** A place farther than this from where the other marks put it is not weighed, mm. */
const near = 2;
/**
 * A position that lies no farther from the typed one is not called mistyped, mm: within a few millimetres some slip of the
 * finger comes near any place. Common practice, no source.
 */
const plainSlip = 5;

/** @returns undefined for a job none of whose marks is typed */
export const typedDesign = (
  job: Pick<Job, 'marks' | 'readings' | 'positions' | 'profile' | 'face'>,
  ground: MarkGround,
  observations: readonly Observation[],
  options: FitOptions,
): TypedDesign | undefined => {
  const places = typedPlaces(job);
  if (places.size === 0) return undefined;
  const face = faceMatrix(job.face);
  const rigid: FitOptions = { ...options, model: 'rigid' };
  const turnOf = (at: ReadonlyMap<string, Point>): number | undefined => {
    const fit = explained(atPositions(observations, at, face), options);
    return fit === undefined ? undefined : decompose(fit.matrix).rotation;
  };
  const byOthers: TypedDesign['byOthers'] = (mark) => {
    const typed = places.get(mark);
    const own = observations.find((o) => o.mark === mark);
    if (typed === undefined || own === undefined) return undefined;
    const outcome = adjust(
      observations.filter((o) => o !== own),
      rigid,
    );
    const back = outcome.ok ? invert(outcome.fit.matrix) : undefined;
    if (back === undefined) return undefined;
    // A mirror image of a mirror image is what there was.
    return { typed, found: apply(face, apply(back, meanReading(own.readings))) };
  };
  const mistyped: TypedDesign['mistyped'] = (mark) => {
    const known = byOthers(mark);
    if (known === undefined) return undefined;
    const { typed, found } = known;
    const decimals = decimalsOf([...places.values()].flatMap((p) => [p.x, p.y]));
    const meant = [
      { at: { x: typed.y, y: typed.x }, how: () => 'with y before x' },
      ...variantsOf(typed.x, decimals).map(({ value, how }) => ({ at: { x: value, y: typed.y }, how })),
      ...variantsOf(typed.y, decimals).map(({ value, how }) => ({ at: { x: typed.x, y: value }, how })),
    ]
      .filter(({ at }) => distance(at, found) < near && distance(at, typed) > plainSlip)
      .sort((a, b) => distance(a.at, found) - distance(b.at, found))[0];
    if (meant === undefined || turnOf(new Map([[mark, meant.at]])) === undefined) return undefined;
    const cause = `the position of mark ${mark} was typed ${meant.how()}, ${placeWords(typed)} for ${placeWords(meant.at)}`;
    return { cause, remedy: typedElsewhere(job, mark, meant.at, `, if ${cause}`) };
  };
  let found: readonly { way: Retyping; turn: number }[] | undefined;
  const ways = (): readonly { way: Retyping; turn: number }[] => {
    found ??= retypings(job, ground)
      .flatMap((way) => {
        const turn = turnOf(way.places);
        return turn === undefined ? [] : [{ way, turn }];
      })
      .sort((a, b) => Math.cos(b.turn) - Math.cos(a.turn));
    return found;
  };
  const isScaled = ({ way: { kind } }: { way: Retyping }): boolean =>
    kind === 'centimetres' || kind === 'inches';
  return {
    isAll: observations.every(({ mark }) => places.has(mark)),
    get mirrored() {
      return ways()
        .filter((one) => !isScaled(one))
        .map(({ way }) => way);
    },
    get scaled() {
      return ways().find(isScaled)?.way;
    },
    mistyped,
    byOthers,
    exchanged: (one, other) => exchangedMarks(job, one, other),
  };
};
