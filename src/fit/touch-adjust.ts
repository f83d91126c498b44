/**
 * The adjustment where there are touches: find where to start, let every touch find its place, and refuse to choose
 * where the readings do not.
 */
import type { TouchReadings } from '../marks/touches.js';
import { assemble } from './assemble.js';
import { linearPart, weightedMean } from './closed-form.js';
import type { FitFailure, FitOptions, FitOutcome, Observation } from './fit.js';
import { type FreeMotion, freeMotion } from './free-motion.js';
import { fitMarks, type MarkPair } from './mark-fit.js';
import { fitMixed, type MixedFit, type MixedReadings, unknownRims } from './mixed-fit.js';
import { type Placement, unknownsOf } from './placement.js';
import { placementOfFit } from './position.js';
import { obstacle } from './solvable.js';
import { isLikely, likelyPlacements, spreadOf } from './touch-choice.js';
import { mirroredTouches } from './touch-pattern.js';
import { misclosureOf } from './touch-rows.js';
import { type Start, searchStarts } from './touch-search.js';
import { type Placements, type TouchContext, TouchWords } from './touch-words.js';
import {
  meanReading,
  type ReadingScale,
  readingScale,
  squaresAbout,
  type TouchRepeats,
} from './uncertainty.js';

/** A pointer on an edge never stands farther from it, mm. Common practice, no source. */
const farOff = 5;
/** Starts that are followed to the end. */
const mostStarts = 40;
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

  const counts = touches.map((t) => t.readings.length);
  let scale = readingScale(observations, options, { counts, scatter: 0 });
  let readings = readingsOf(observations, touches, scale);
  const known = context.near && [{ placement: placementOfFit(context.near), cost: 0 }];
  const byMarks = known ?? markStart(observations, options, readings.marks);
  const starts = byMarks ?? [
    ...searchStarts(readings, model !== 'shift'),
    ...statedStart(readings, touches, model),
  ];
  if (known === undefined && byMarks !== undefined && marksSuffice(observations, options)) {
    const stray = strayTouches(readings, byMarks[0]!.placement, scale);
    if (stray.length > 0) return fail(words.stray(stray, true));
  }

  const followed = follow(starts, readings, options, byMarks === undefined);
  const { free } = followed;
  // A solution far beyond the ends of its edges is none where there is a better one.
  const near = followed.found.filter((f) => strayTouches(readings, f.placement, scale, f).length === 0);
  const found = near.length > 0 ? near : followed.found;
  if (found.length === 0) return fail(free === undefined ? words.noFit() : words.free(free));
  const best = found[0]!;
  const { redundancy, weightedSquares } = best.solved;
  const spread = spreadOf(options, scale, { rows, redundancy });
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
  for (let pass = 0; pass < 3 && counts.some((n) => n > 1); pass++) {
    scale = readingScale(observations, options, repeatsOf(chosen, readings, counts));
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
  return { ok: true, fit, ...(likely.others.length === 0 ? {} : { ambiguous: words.decided(placements) }) };
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

const marksSuffice = (observations: readonly Observation[], { model }: FitOptions): boolean =>
  obstacle(observations, model) === undefined;

/** Starts from the marks, where they tell shift and turn; undefined where they do not. */
const markStart = (
  observations: readonly Observation[],
  { model }: FitOptions,
  marks: readonly MarkPair[],
): Start[] | undefined => {
  const simplest = model === 'shift' ? 'shift' : 'rigid';
  if (obstacle(observations, simplest) !== undefined) return undefined;
  const own = obstacle(observations, model) === undefined ? fitMarks(model, marks) : undefined;
  const fitted = own?.ok ? own : fitMarks(simplest, marks);
  return fitted.ok ? [{ placement: fitted.placement, cost: 0 }] : undefined;
};

/** A start from where the touches were said to be on the drawing, two of them or more, marks counted in. */
const statedStart = (
  { marks }: MixedReadings,
  touches: readonly TouchReadings[],
  model: FitOptions['model'],
): Start[] => {
  const pairs = [
    ...marks.map(({ from, to }) => ({ from, to, weight: 1 })),
    ...touches.flatMap(({ start, readings }) =>
      start === undefined ? [] : [{ from: start, to: readings[0]!, weight: 1 }],
    ),
  ];
  if (pairs.length < (model === 'shift' ? 1 : 2)) return [];
  const centre = weightedMean(pairs, 'from');
  const anchor = weightedMean(pairs, 'to');
  const linear = linearPart(
    model === 'shift' ? 'shift' : 'rigid',
    pairs.map(({ from, to, weight }) => ({
      from: { x: from.x - centre.x, y: from.y - centre.y },
      to: { x: to.x - anchor.x, y: to.y - anchor.y },
      weight,
    })),
  );
  if (linear === undefined) return [];
  return [{ placement: { model: 'rigid', centre, anchor, linear }, cost: 0 }];
};

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
): Followed => {
  const found: Found[] = [];
  let free: (FreeMotion & { cost: number }) | undefined;
  for (const { placement, cost } of starts.slice(0, mostStarts)) {
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

export interface Stray {
  readonly touch: number;
  /** mm. */
  readonly away: number;
}

/** Touches too far from their edge to have been on it, the farthest first. */
const strayTouches = (
  { touches }: MixedReadings,
  placement: Placement,
  { reference }: ReadingScale,
  found?: Found,
): Stray[] => {
  const most = Math.max(farOff, 8 * (reference?.sd ?? 0));
  const rims = unknownRims(touches);
  return touches
    .map(({ edge, to }, touch) => {
      const at = misclosureOf(placement, edge, to[0]!, 0, found?.radii[rims.indexOf(edge)]).at;
      const { rim } = edge;
      const unknownRadius = rim !== undefined && rim.radius === undefined;
      if (unknownRadius && found === undefined) return { touch, away: 0 };
      const away =
        rim === undefined
          ? edge.index.distance(at.x, at.y)
          : Math.abs(
              Math.hypot(at.x - rim.centre.x, at.y - rim.centre.y) -
                (rim.radius ?? found!.radii[rims.indexOf(edge)]!),
            );
      return { touch, away };
    })
    .filter(({ away }) => away > most)
    .sort((a, b) => b.away - a.away);
};

/** The one touch without which all the others find their edges; undefined where there is no such one. */
const strayOne = (
  readings: MixedReadings,
  stray: readonly Stray[],
  model: FitOptions['model'],
  scale: ReadingScale,
): Stray[] | undefined => {
  if (readings.touches.length < 5) return undefined;
  const order = [...readings.touches.keys()].sort(
    (a, b) => stray.findIndex((s) => s.touch === b) - stray.findIndex((s) => s.touch === a),
  );
  for (const left of order) {
    const others = { ...readings, touches: readings.touches.filter((_, i) => i !== left) };
    const [start] = searchStarts(others, model !== 'shift');
    if (start === undefined || strayTouches(others, start.placement, scale).length > 0) continue;
    const found = strayTouches(readings, start.placement, scale);
    if (found.length === 1 && found[0]!.touch === left) return found;
  }
  return undefined;
};

/** True where the part on its other face brings every touch near its edge; with marks the slips tell. */
const fitsFaceDown = (readings: MixedReadings, model: FitOptions['model'], scale: ReadingScale): boolean => {
  if (readings.marks.length > 0) return false;
  const mirrored = { ...readings, touches: mirroredTouches(readings.touches) };
  const [start] = searchStarts(mirrored, model !== 'shift');
  return start !== undefined && strayTouches(mirrored, start.placement, scale).length === 0;
};

const repeatsOf = (
  { placement, spans, radii }: Found,
  { touches }: MixedReadings,
  counts: readonly number[],
): TouchRepeats => {
  const rims = unknownRims(touches);
  let scatter = 0;
  touches.forEach(({ edge, to }, i) => {
    const radius = radii[rims.indexOf(edge)];
    const off = to.map((p, k) => misclosureOf(placement, edge, p, spans[i]![k]!, radius).residual);
    scatter += squaresAbout(off);
  });
  return { counts, scatter };
};
