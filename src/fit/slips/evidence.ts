/**
 * How well an explanation of the readings explains them: the logarithm of its marginal likelihood, the placement
 * integrated over a flat prior and the sd over what is known of it. A model comparison in the manner of H. Jeffreys,
 * *Theory of Probability*: an explanation with free values pays for every value it can choose, so that a slip
 * without freedom (two marks swapped) beats an arbitrary mistake wherever both fit.
 */

import { apply } from '../../geometry/affine.js';
import { distance, type Point } from '../../geometry/point.js';
import type { Model } from '../../job/job.js';
import type { UnknownSide } from '../../marks/sides.js';
import { power } from '../../numeric/powers.js';
import type { FitOptions, Observation } from '../fit.js';
import { linearPart, weightedMean } from '../solve/closed-form.js';
import { varianceOfMean } from '../solve/display-step.js';
import { fitMarks, type MarkPair } from '../solve/mark-fit.js';
import { jacobianAt, type Placement, placed, turnOfPlacement, unknownsOf } from '../solve/placement.js';
import { meanReading } from '../solve/uncertainty.js';

/** Possible factors on the sds of the readings, with the logarithm of their share. */
export type SdGrid = readonly { readonly factor: number; readonly logShare: number }[];

const grid = (from: number, to: number, density: (factor: number) => number): SdGrid => {
  const count = Math.max(2, Math.ceil(Math.log(to / from) * 10));
  const points = Array.from({ length: count }, (_, k) => {
    const factor = from * power(to / from, (k + 0.5) / count);
    return { factor, logShare: density(factor) };
  });
  const total = logSum(points.map((p) => p.logShare));
  return points.map((p) => ({ factor: p.factor, logShare: p.logShare - total }));
};

/** ln(sum of exp). */
export const logSum = (values: readonly number[]): number => {
  const largest = Math.max(...values);
  if (largest === Number.NEGATIVE_INFINITY) return largest;
  let sum = 0;
  for (const value of values) sum += Math.exp(value - largest);
  return largest + Math.log(sum);
};

/**
 * sd of one reading on a pointer, where nothing is stated: about 0.08 mm, within a factor of 2.5 in two cases of
 * three, never outside the range. Common practice, no source.
 */
const usualSd = { middle: 0.08, factor: 2.5, range: [0.01, 1] } as const;
/** How much worse than stated, or than usual, readings can be without one of them being a slip. */
const noisiest = 20;

/** The sd as it should be. Without a stated sd the factors are the sd of one reading in mm, the mark's own error in it. */
export const expectedSd = (options: FitOptions): SdGrid => {
  const { readingSd, readingSdDof: degrees } = options;
  if (readingSd === undefined) {
    const { from, to } = unstatedRange(options);
    const middle = Math.hypot(usualSd.middle, options.markSd);
    return grid(from, to, (sd) => -((Math.log(sd / middle) / Math.log(usualSd.factor)) ** 2) / 2);
  }
  if (degrees === undefined) return [{ factor: 1, logShare: 0 }];
  return grid(0.2, 5, (f) => -degrees * Math.log(f) - degrees / (2 * f * f));
};

const unstatedRange = ({ markSd }: FitOptions): { from: number; to: number } => {
  const [from, to] = usualSd.range;
  return { from: Math.max(from, markSd), to: Math.max(to, 3 * markSd) };
};

/** Readings that are simply worse than stated or usual. */
export const noisySd = (options: FitOptions): SdGrid => {
  const from = options.readingSd === undefined ? unstatedRange(options).to : 1.2;
  return grid(from, from * noisiest, () => 0);
};

/** Readings and design of one mark under an explanation. */
export interface SupposedMark {
  readonly design: Point;
  readonly readings: readonly Point[];
  readonly sd?: Point;
  readonly side?: UnknownSide;
  /** Variance that errors of the bed map add to the residuals of this mark, mm^2 per axis. */
  readonly common?: Point;
}

export interface Supposed {
  readonly placement: Placement;
  /** Sum over the marks of (residual of the mean / sd)^2. */
  readonly weightedSquares: number;
  /** Two for each mark minus unknowns. */
  readonly degrees: number;
  /** Sum over repeated readings of (deviation from their mean / sd)^2, and its degrees of freedom. */
  readonly scatter: number;
  readonly scatterDegrees: number;
}

/** sd of the mean of a mark; with no stated sd in units of one reading's. */
export const meanSd = (mark: SupposedMark, options: FitOptions): Point => {
  if (mark.sd !== undefined) return mark.sd;
  const { readingSd, markSd, displayStep = 0 } = options;
  const n = mark.readings.length;
  if (readingSd === undefined) return { x: 1 / Math.sqrt(n), y: 1 / Math.sqrt(n) };
  const { whole } = varianceOfMean(readingSd, displayStep, n);
  const { side, common = { x: 0, y: 0 } } = mark;
  return {
    x: Math.sqrt(markSd ** 2 + whole + (side?.x ?? 0) ** 2 + common.x),
    y: Math.sqrt(markSd ** 2 + whole + (side?.y ?? 0) ** 2 + common.y),
  };
};

/** The fit of a model to supposed readings; undefined where they do not determine it. */
export const suppose = (
  model: Model,
  marks: readonly SupposedMark[],
  options: FitOptions,
): Supposed | undefined => {
  const { pairs, scattered } = asPairs(marks, options);
  const degrees = 2 * pairs.length - unknownsOf[model];
  if (pairs.some(({ sd }) => sd.x !== sd.y)) {
    const fitted = fitMarks(model, pairs);
    if (!fitted.ok) return undefined;
    return {
      placement: fitted.placement,
      weightedSquares: fitted.solved.weightedSquares,
      degrees,
      ...scattered,
    };
  }
  const placement = quickPlacement(model, pairs);
  if (placement === undefined) return undefined;
  let weightedSquares = 0;
  for (const { from, to, sd } of pairs) {
    const at = placed(placement, from);
    weightedSquares += ((to.x - at.x) ** 2 + (to.y - at.y) ** 2) / (sd.x * sd.y);
  }
  return { placement, weightedSquares, degrees, ...scattered };
};

export interface SupposedWithout extends Supposed {
  /** What was left out, less its prediction from all the rest, mm. */
  readonly mistake: Point;
  /** Where the rest puts the mark, true bed mm. */
  readonly predicted: Point;
  /** ln of the root of the determinant of the mistake's covariance, in units of the sd factor. */
  readonly logSpread: number;
  /** At least the sd of the mistake in any direction, in units of the sd factor. */
  readonly largestSd: number;
}

/** The same without one coordinate of a mark, or without the mark (`axis` undefined). */
export const supposeWithout = (
  model: Model,
  marks: readonly SupposedMark[],
  options: FitOptions,
  mark: number,
  axis?: 'x' | 'y',
): SupposedWithout | undefined => {
  const { pairs, scattered } = asPairs(marks, options);
  const rest = axis === undefined ? pairs.filter((_, i) => i !== mark) : pairs;
  const degrees = 2 * pairs.length - (axis === undefined ? 2 : 1) - unknownsOf[model];
  if (degrees < 0 || rest.length === 0) return undefined;
  const fitted = fitMarks(model, rest, axis === undefined ? undefined : { mark, axis });
  if (!fitted.ok) return undefined;
  const { placement, solved } = fitted;
  const { from, to, sd } = pairs[mark]!;
  const at = placed(placement, from);
  const gradient = jacobianAt(placement, from);
  const covariance = (g: readonly number[], h: readonly number[]) => {
    let sum = 0;
    for (let i = 0; i < g.length; i++)
      for (let j = 0; j < h.length; j++) sum += g[i]! * solved.cofactor[i]![j]! * h[j]!;
    return sum;
  };
  const xx = sd.x ** 2 + covariance(gradient.x, gradient.x);
  const yy = sd.y ** 2 + covariance(gradient.y, gradient.y);
  const xy = covariance(gradient.x, gradient.y);
  const spread = axis === 'x' ? xx : axis === 'y' ? yy : xx * yy - xy * xy;
  return {
    placement,
    weightedSquares: solved.weightedSquares,
    degrees,
    ...scattered,
    mistake: { x: axis === 'y' ? 0 : to.x - at.x, y: axis === 'x' ? 0 : to.y - at.y },
    predicted: at,
    logSpread: Math.log(spread) / 2,
    largestSd: Math.sqrt(xx + yy),
  };
};

const asPairs = (
  marks: readonly SupposedMark[],
  options: FitOptions,
): { pairs: MarkPair[]; scattered: Pick<Supposed, 'scatter' | 'scatterDegrees'> } => {
  const { readingSd, displayStep = 0 } = options;
  const unit = readingSd === undefined ? 1 : Math.sqrt(varianceOfMean(readingSd, displayStep, 1).whole);
  let scatter = 0;
  let scatterDegrees = 0;
  const pairs = marks.map((mark): MarkPair => {
    const to = meanReading(mark.readings);
    scatterDegrees += 2 * (mark.readings.length - 1);
    for (const p of mark.readings) scatter += ((p.x - to.x) ** 2 + (p.y - to.y) ** 2) / unit ** 2;
    return { from: mark.design, to, sd: meanSd(mark, options) };
  });
  return { pairs, scattered: { scatter, scatterDegrees } };
};

/** Closed form, exact for sds that are equal in x and y; a what-if needs no covariance. */
const quickPlacement = (model: Model, marks: readonly MarkPair[]): Placement | undefined => {
  const pairs = marks.map(({ from, to, sd }) => ({ from, to, weight: 1 / (sd.x * sd.y) }));
  const centre = weightedMean(pairs, 'from');
  const anchor = weightedMean(pairs, 'to');
  const linear = linearPart(
    model,
    pairs.map(({ from, to, weight }) => ({
      from: { x: from.x - centre.x, y: from.y - centre.y },
      to: { x: to.x - anchor.x, y: to.y - anchor.y },
      weight,
    })),
  );
  return linear === undefined ? undefined : { model, centre, anchor, linear };
};

/**
 * ln of the likelihood with the sds integrated out. The scatter of repeated readings has an sd of its own: readings of
 * one mark often agree far better than the marks do, because marks are not quite where they were drawn.
 */
export const logEvidence = (supposed: Supposed, between: SdGrid, within: SdGrid): number =>
  logLikelihood(supposed.weightedSquares, supposed.degrees, between) +
  logLikelihood(supposed.scatter, supposed.scatterDegrees, within);

const logLikelihood = (squares: number, degrees: number, sds: SdGrid): number =>
  degrees === 0
    ? 0
    : logSum(
        sds.map(
          ({ factor, logShare }) => logShare - degrees * Math.log(factor) - squares / (2 * factor ** 2),
        ),
      ) -
      (degrees / 2) * Math.log(2 * Math.PI);

/**
 * ln of how plausible a placement is before any reading: parts are mostly put back the way they are drawn, a
 * quarter turn now and then, upside down seldom (weight exp(2 cos turn)), and their size changes by parts in a
 * thousand, never by a mirror. Judgement of the trade, no source; it decides only where readings cannot.
 */
export const logPlausible = (placement: Placement): number => {
  const {
    model,
    linear: [a, b, c, d],
  } = placement;
  const turned = 2 * (Math.cos(turnOfPlacement(placement)) - 1);
  if (model === 'shift' || model === 'rigid') return turned;
  const width = Math.hypot(a, b);
  const height = (a * d - b * c) / width;
  if (!(height > 0)) return turned - 30;
  const stretched = logSizeDensity(Math.log(width));
  if (model === 'similarity') return turned + stretched;
  const shear = (a * c + b * d) / width / height;
  return turned + stretched + logSizeDensity(Math.log(height)) + logSizeDensity(shear);
};

/** Relative change of size: Cauchy of half-width 0.002, so that a large change is improbable but not excluded. */
export const logSizeDensity = (change: number): number =>
  -Math.log(Math.PI * 0.002 * (1 + (change / 0.002) ** 2));

/**
 * Observations as suppositions start from them. Errors common to all readings count as errors of each mark, by what they do
 * about the marks' middle: too much for some patterns, never too little to explain what they do to the residuals.
 */
export const asSupposed = (
  observations: readonly Observation[],
  { commonErrors = [], panelErrors = [] }: Pick<FitOptions, 'commonErrors' | 'panelErrors'> = {},
): SupposedMark[] => {
  const middle = meanReading(observations.map((o) => meanReading(o.readings)));
  const ofPanel = panelErrors.map((moved) => ({
    moved,
    mean: meanReading(observations.map(({ design }) => moved(design))),
  }));
  return observations.map(({ design, readings, sd, side }) => {
    const { x, y } = meanReading(readings);
    const from = { x: x - middle.x, y: y - middle.y };
    const moves = commonErrors.map(([a, b, c, d]) => apply([a, b, c, d, 0, 0], from));
    // How the panel lies is not known here: to either side as much.
    const bent = ofPanel.reduce((sum, { moved, mean }) => sum + distance(moved(design), mean) ** 2, 0);
    const common = {
      x: moves.reduce((sum, move) => sum + move.x ** 2, bent),
      y: moves.reduce((sum, move) => sum + move.y ** 2, bent),
    };
    return {
      design,
      readings,
      ...(sd === undefined ? {} : { sd }),
      ...(side === undefined ? {} : { side }),
      ...(moves.length + ofPanel.length === 0 ? {} : { common }),
    };
  });
};
