/** How the search tells patterns apart: by the verdict's figures, made less noisy, and by a spread in between. */
import { unknownsOf } from '../../fit/solve/placement.js';
import type { Job } from '../../job/job.js';
import { studentQuantile } from '../../numeric/distributions.js';
import type { Edge } from '../../verdict/edges/edge.js';
import { errorField } from '../../verdict/risk/error-field.js';
import type { Place } from '../places/place.js';
import { extremeRows, type UnknownsFrame } from './edge-rows.js';
import { informationOf, inverter } from './information.js';
import { type PlannedReadings, plannedDegrees, plannedFit, redundancyOf } from './planned-fit.js';
import { rowNeeds } from './row-needs.js';
import { largestSds, largestSpread, type Spread } from './spread.js';

export interface ComparisonInput {
  readonly edges: readonly Edge[];
  readonly frame: UnknownsFrame;
  readonly readings: PlannedReadings;
  readonly check: Job['check'];
  /** mm, above 0. */
  readonly clearance: number;
  readonly places: readonly Place[];
}

/** A pattern as it compares. */
export interface Compared {
  /** Needed clearance of the opening that needs most, mm. */
  readonly needed: number;
  /** Needed clearance over largest sd, for each opening. */
  readonly ratios: Float64Array;
  /** How much wider than normal its errors are. */
  readonly width: number;
}

export interface Comparison {
  readonly information: (place: Place) => Float64Array;
  /**
   * Undefined where the places do not determine the fit, or leave no uncertainty to claim, and where an opening needs
   * `bound` or more.
   */
  readonly judge: (places: readonly Place[], like?: Compared, bound?: number) => Compared | undefined;
  /** The openings among which the one is that needs most. */
  readonly needMost: (places: readonly Place[], like: Compared) => readonly Edge[];
  /** The spread with the ratios of a pattern that was judged. */
  readonly spreadLike: (compared: Compared) => Spread;
}

/** Needed clearance over largest sd to start from where no pattern was looked at: that of an accepted risk of 5 %. */
const usualRatio = 2;
/** Openings that need less than this share of the most, as far as the ratios tell, are not looked at again. */
const lookedAgain = 0.85;
/** The same share once they were looked at: what the rows leave open. */
const lookedClosely = 0.98;

/**
 * By few draws of the verdict's patterns differ by less than the draws do, so a search would find the luckiest. Hence the
 * same draws for every pattern (row-needs.ts), and an sd that counts as known, widened by what Student-t is wider than
 * the normal distribution.
 */
export const comparisonOf = ({
  edges,
  frame,
  readings,
  check,
  clearance,
  places,
}: ComparisonInput): Comparison => {
  const { acceptedRisk, cutSd, kerfSd } = check;
  const { model } = frame;
  const unknowns = unknownsOf[model];
  const openings = edges.map((edge) => extremeRows(edge, frame, clearance));
  const fixedVariance = cutSd ** 2 + (kerfSd / 2) ** 2;
  const widthOf = widths(acceptedRisk);
  const degreesOf = (pattern: readonly Place[]) => plannedDegrees(redundancyOf(model, pattern), readings);
  const information = (place: Place) => informationOf(place, frame, readings);
  const sumOf = (pattern: readonly Place[]): Float64Array =>
    pattern.map(information).reduce((a, b) => a.map((value, i) => value + b[i]!));
  const sdsOf = (pattern: readonly Place[], width: number): Float64Array | undefined =>
    largestSds(openings, sumOf(pattern), unknowns, { width, fixedVariance });
  const needsWith = rowNeeds(unknowns, acceptedRisk, kerfSd > 0);
  const inverted = inverter(unknowns);

  const judge = (
    pattern: readonly Place[],
    like?: Compared,
    bound = Number.POSITIVE_INFINITY,
  ): Compared | undefined => {
    const width = widthOf(degreesOf(pattern));
    const sds = sdsOf(pattern, width);
    const covariance = new Float64Array(unknowns * unknowns);
    if (width === Number.POSITIVE_INFINITY || sds === undefined || !inverted(sumOf(pattern), covariance))
      return undefined;
    for (let i = 0; i < covariance.length; i++) covariance[i]! *= width * width;
    const needs = needsWith({ covariance, cutSd, halfKerfSd: kerfSd / 2 });
    const looked = like === undefined ? edges.map((_edge, i) => i) : nearMost(sds, like, lookedAgain);
    const ratios = Float64Array.from(like?.ratios ?? new Float64Array(edges.length));
    let needed = 0;
    for (const i of looked) {
      const own = needs(openings[i]!, sds[i]! * (like === undefined ? usualRatio : ratios[i]!));
      if (own >= bound) return undefined;
      needed = Math.max(needed, own);
      ratios[i] = sds[i]! > 0 ? own / sds[i]! : 0;
    }
    const fit = plannedFit(model, pattern, readings, frame.centre);
    return fit === undefined || errorField(fit, check) === undefined ? undefined : { needed, ratios, width };
  };

  const needMost = (pattern: readonly Place[], like: Compared): readonly Edge[] => {
    const sds = sdsOf(pattern, widthOf(degreesOf(pattern)));
    const own = judge(pattern, like);
    if (sds === undefined || own === undefined) return edges;
    return nearMost(sds, own, lookedClosely).map((i) => edges[i]!);
  };

  const isEven = places.every((place) => place.normal === undefined);
  const spreadLike = ({ ratios, width }: Compared): Spread => {
    const largest = largestSpread(openings, ratios, unknowns, { width, fixedVariance });
    if (isEven) return largest;
    return (sum, bound, pattern) => {
      const factor = widthOf(degreesOf(pattern.map(({ place }) => place))) / width;
      return factor * largest(sum, bound / factor);
    };
  };
  return { information, judge, needMost, spreadLike };
};

/** Indices of the openings that need at least a share of the most, the one that needs most first. */
const nearMost = (sds: Float64Array, { ratios }: Compared, share: number): number[] => {
  const expected = sds.map((sd, i) => sd * ratios[i]!);
  const least = share * Math.max(...expected);
  return [...expected.keys()]
    .filter((i) => expected[i]! >= least)
    .sort((a, b) => expected[b]! - expected[a]! || a - b);
};

/** Student-t over normal, by their quantiles at the accepted risk; infinite where there are no degrees of freedom. */
const widths = (acceptedRisk: number): ((degrees: number | undefined) => number) => {
  const level = 1 - acceptedRisk / 2;
  const known = new Map<number | undefined, number>();
  return (degrees) => {
    const before = known.get(degrees);
    if (before !== undefined) return before;
    const width =
      degrees !== undefined && degrees <= 0
        ? Number.POSITIVE_INFINITY
        : studentQuantile(level, degrees) / studentQuantile(level, undefined);
    known.set(degrees, width);
    return width;
  };
};
