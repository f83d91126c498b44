/**
 * The adjustment where there are touches: find where to start, let every touch find its place, and refuse to choose
 * where the readings do not.
 */
import { apply, mirrorX } from '../../geometry/affine.js';
import type { TouchReadings } from '../../marks/touches.js';
import { assemble } from '../assemble.js';
import type { FitFailure, FitOptions, FitOutcome, Observation } from '../fit.js';
import type { MarkPair } from '../solve/mark-fit.js';
import { type Placement, unknownsOf } from '../solve/placement.js';
import { placementOfFit } from '../solve/position.js';
import { obstacle } from '../solve/solvable.js';
import {
  meanReading,
  type ReadingScale,
  readingScale,
  squaresAbout,
  touchRepeats,
} from '../solve/uncertainty.js';
import { type FreeMotion, freeMotion } from './free-motion.js';
import { fitMixed, type MixedFit, type MixedReadings, unknownRims } from './mixed-fit.js';
import { fitsFaceDown, strayOne, strayTouches } from './stray-touches.js';
import { isLikely, likelyPlacements, nearerToStarts, type Spread, spreadOf } from './touch-choice.js';
import { mirroredTouches } from './touch-pattern.js';
import { misclosureOf } from './touch-rows.js';
import { type Start, searchStarts } from './touch-search.js';
import { markStarts, statedStart } from './touch-starts.js';
import { type Placements, type TouchContext, TouchWords } from './touch-words.js';

/** Enough to see whether the other face fits as well; where it does, it fits as well as the one that was found. */
const glance = { places: 300, drawn: 40 };
/** Ways to lie on the other face that are followed. */
const mostFaces = 4;
/** Starts that are followed to the end, at most, and always. */
const mostStarts = 40;
const fewStarts = 2;
/** No sheet changes its size by more; a touch takes a smaller part for a larger one otherwise. */
const largestChange = 0.05;
/** Known this many times worse than a reading is not known at all. */
const nothingKnown = 1e5;
/** Positions known this many times worse than a reading are not known. */
const worstDilution = 30;

type Found = Extract<MixedFit, { ok: true }>;

/** As `adjust`, for one touch or more. */
export const adjustWithTouches = (
  observations: readonly Observation[],
  options: FitOptions,
  touches: readonly TouchReadings[],
  context: TouchContext,
): FitOutcome => {
  const { model } = options;
  const words = new TouchWords(touches, observations, model, context);
  const fail = (failure: FitFailure): FitOutcome => ({ ok: false, failure });
  const rims = unknownRims(touches);
  const unknowns = unknownsOf[model] + rims.length;
  const rows = 2 * observations.length + touches.length;
  if (rows < unknowns) return fail(words.tooFew(rows, unknowns, rims.length));

  const repeats = touchRepeats(touches);
  let scale = readingScale(observations, options, repeats);
  let readings = readingsOf(observations, touches, scale);
  const known = context.near && [{ placement: placementOfFit(context.near) }];
  const byMarks = known ?? markStarts(observations, options, readings, scale);
  const starts = byMarks ?? [
    ...statedStart(readings, touches, model),
    ...searchStarts(readings, model !== 'shift'),
  ];
  if (known === undefined && byMarks?.length === 1 && obstacle(observations, model) === undefined) {
    const stray = strayTouches(readings, byMarks[0]!.placement, scale);
    if (stray.length > 0) return fail(words.stray(stray, true));
  }

  const spread = spreadOf(options, scale, { rows, redundancy: rows - unknowns });
  const followed = follow(starts, readings, options, byMarks === undefined, spread);
  const { free } = followed;
  // A solution far beyond the ends of its edges is none where there is a better one.
  const near = followed.found.filter((f) => strayTouches(readings, f.placement, scale, f).length === 0);
  const found = near.length > 0 ? near : followed.found;
  if (found.length === 0) return fail(free === undefined ? words.noFit() : words.free(free));
  const best = found[0]!;
  const { weightedSquares } = best.solved;
  // A way round that leaves the part free and fits as well as the best is what is true of it.
  if (free !== undefined && isLikely(free.cost, weightedSquares, spread)) return fail(words.free(free));
  const stray = strayTouches(readings, best.placement, scale, best);
  if (stray.length > 0) {
    const one = strayOne(readings, stray, model, scale);
    if (one !== undefined) return fail(words.stray(one, false));
    return fail(fitsFaceDown(readings, model, scale) ? words.otherFace() : words.stray(stray, false));
  }
  if (byMarks === undefined) {
    const motion = freeMotion(best, readings, { dilution: worstDilution });
    if (motion !== undefined) return fail(words.free(motion));
  }

  const likely = likelyPlacements(found, readings, touches, spread);
  const placements: Placements = { chosen: likely.chosen, others: likely.others };
  if (likely.others.length > 0 && !likely.decided) return fail(words.ambiguous(placements));

  // Repeated readings of a touch scatter across its edge, and that is known only now.
  let chosen = likely.chosen;
  for (let pass = 0; pass < 3 && repeats.counts.some((n) => n > 1); pass++) {
    scale = readingScale(observations, options, touchRepeats(touches, scatterOf(chosen, readings)));
    readings = readingsOf(observations, touches, scale);
    const again = fitMixed(model, readings, chosen.placement);
    if (!again.ok) return fail(words.noFit());
    chosen = again;
  }
  const { placement, solved, spans, radii } = chosen;
  const fit = assemble({
    observations,
    options,
    placement,
    marks: readings.marks,
    scale,
    solved,
    touched: { touches, spans, rims, radii },
  });
  const ambiguous = likely.others.length === 0 ? [] : [words.decided(placements)];
  if (byMarks === undefined) {
    const over = otherFace(readings, touches, options, { chosen, spread });
    if (over !== undefined) ambiguous.push(words.eitherFace(chosen, over));
  }
  return { ok: true, fit, ...(ambiguous.length === 0 ? {} : { ambiguous }) };
};

/** The part on its other face, where the readings fit that as well; with more marks their pattern tells. */
const otherFace = (
  readings: MixedReadings,
  touches: readonly TouchReadings[],
  { model }: FitOptions,
  { chosen, spread }: { readonly chosen: Found; readonly spread: Spread },
): Found | undefined => {
  const mirrored: MixedReadings = {
    marks: readings.marks.map((m) => ({ ...m, from: apply(mirrorX, m.from) })),
    touches: mirroredTouches(readings.touches),
  };
  const starts = mirroredTouches(touches).map((t) =>
    t.start === undefined ? t : { ...t, start: apply(mirrorX, t.start) },
  );
  const { weightedSquares } = chosen.solved;
  const ways = searchStarts(mirrored, model !== 'shift', glance)
    .filter(({ cost = 0 }) => !isWhole(model, mirrored) || isLikely(cost, weightedSquares, spread))
    .slice(0, mostFaces);
  for (const { placement } of ways) {
    const over = fitMixed(model, mirrored, placement);
    if (!over.ok || !keepsSize(over.placement)) continue;
    if (!isLikely(over.solved.weightedSquares, weightedSquares, spread)) continue;
    if (!nearerToStarts(chosen, readings, touches, { found: over, readings: mirrored, touches: starts }))
      return over;
  }
  return undefined;
};

const readingsOf = (
  observations: readonly Observation[],
  touches: readonly TouchReadings[],
  scale: ReadingScale,
): MixedReadings => ({
  marks: observations.map(
    (o, i): MarkPair => ({ from: o.design, to: meanReading(o.readings), sd: scale.sds[i]! }),
  ),
  touches: touches.map(({ edge, readings }, i) => ({ edge, to: readings, sd: scale.touchSds[i]! })),
});

/** Where the rough placement has all the unknowns, its sum of squares is nearly the one in the end. */
const isWhole = (model: FitOptions['model'], { touches }: MixedReadings): boolean =>
  (model === 'rigid' || model === 'shift') && unknownRims(touches).length === 0;

interface Followed {
  /** The least sum of squares first. */
  readonly found: readonly Found[];
  /** What the start with the least sum of squares leaves free. */
  readonly free?: FreeMotion & { readonly cost: number };
}

const follow = (
  starts: readonly Start[],
  readings: MixedReadings,
  { model }: FitOptions,
  searched: boolean,
  spread: Spread,
): Followed => {
  const all = isWhole(model, readings);
  const least = Math.min(...starts.flatMap(({ cost = [] }) => cost));
  const worth = starts.filter(
    ({ cost }, i) => i < fewStarts || !all || cost === undefined || isLikely(cost, least, spread),
  );
  const found: Found[] = [];
  let free: (FreeMotion & { cost: number }) | undefined;
  for (const { placement, cost = 0 } of worth.slice(0, mostStarts)) {
    const fitted = fitMixed(model, readings, placement);
    if (fitted.ok) {
      if (!searched || keepsSize(fitted.placement)) found.push(fitted);
    } else if (free === undefined && fitted.why === 'rank') {
      const motion = freeMotion({ placement: fitted.at }, readings, { model, dilution: nothingKnown });
      if (motion !== undefined) free = { ...motion, cost };
    }
  }
  found.sort((a, b) => a.solved.weightedSquares - b.solved.weightedSquares);
  return { found, ...(free === undefined ? {} : { free }) };
};

const keepsSize = ({ linear: [a, b, c, d] }: Placement): boolean => {
  const first = Math.hypot(a, b);
  const second = Math.hypot(c, d);
  const lean = Math.abs(a * c + b * d) / (first * second);
  return Math.max(Math.abs(first - 1), Math.abs(second - 1), lean) <= largestChange;
};

/** Of repeated readings across their edges, mm^2. */
const scatterOf = ({ placement, spans, radii }: Found, { touches }: MixedReadings): number => {
  const rims = unknownRims(touches);
  let scatter = 0;
  touches.forEach(({ edge, to }, i) => {
    const radius = radii[rims.indexOf(edge)];
    const off = to.map((p, k) => misclosureOf(placement, edge, p, spans[i]![k]!, radius).residual);
    scatter += squaresAbout(off);
  });
  return scatter;
};
