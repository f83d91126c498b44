/** How the search tells patterns apart: by the verdict's figures, made less noisy, and by a spread in between. */
import { unknownsOf } from '../fit/placement.js';
import type { Job } from '../job/job.js';
import { studentQuantile } from '../numeric/distributions.js';
import type { Edge } from '../verdict/edge.js';
import { errorField } from '../verdict/error-field.js';
import { assessRisk, indexEdges } from '../verdict/risk.js';
import { extremeRows, type UnknownsFrame } from './edge-rows.js';
import { informationOf } from './information.js';
import type { Place } from './place.js';
import { type PlannedReadings, plannedDegrees, plannedFit, redundancyOf } from './planned-fit.js';
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
  /** Undefined where the places do not determine the fit, or leave no uncertainty to claim. */
  readonly judge: (places: readonly Place[], like?: Compared) => Compared | undefined;
  /** The openings that come near to needing most, as far as the ratios of another pattern tell. */
  readonly needMost: (places: readonly Place[], like: Compared) => readonly Edge[];
  /** The spread with the ratios of a pattern that was judged. */
  readonly spreadLike: (compared: Compared) => Spread;
}

/** Draws over all openings for a first pattern; over those that need most for every other. */
const firstDraws = 1024;
const laterDraws = 4096;
/** Openings that need less than this share of the most, as far as the ratios tell, are not looked at again. */
const lookedAgain = 0.85;

/**
 * The verdict's draws leave half a percent, with few degrees of freedom 2 % (verdict/draws.ts): more than patterns
 * differ by, so a search would find the luckiest draws. Hence more draws for the few openings that matter, and an sd
 * that counts as known, widened by what Student-t is wider than the normal distribution.
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
  const sdsOf = (pattern: readonly Place[], width: number): Float64Array | undefined => {
    const sum = pattern.map(information).reduce((a, b) => a.map((value, i) => value + b[i]!));
    return largestSds(openings, sum, unknowns, { width, fixedVariance });
  };

  /** All patterns share one centre, so that the edges are made ready once. */
  let indexes: ReturnType<typeof indexEdges> | undefined;
  const judge = (pattern: readonly Place[], like?: Compared): Compared | undefined => {
    const fit = plannedFit(model, pattern, readings, frame.centre);
    const field = fit && errorField(fit, check);
    const width = widthOf(degreesOf(pattern));
    const sds = sdsOf(pattern, width);
    if (field === undefined || sds === undefined) return undefined;
    const { degrees: _, ...known } = field;
    indexes ??= indexEdges(edges, known);
    const ready = indexes;
    const covariance = known.covariance.map((row) => row.map((value) => width * width * value));
    const looked = like === undefined ? edges.map((_edge, i) => i) : nearMost(sds, like);
    const risk = assessRisk({
      edges: looked.map((i) => edges[i]!),
      field: { ...known, covariance },
      indexes: looked.map((i) => ready[i]!),
      clearance,
      acceptedRisk,
      draws: like === undefined ? firstDraws : laterDraws,
    });
    const ratios = Float64Array.from(like?.ratios ?? new Float64Array(edges.length));
    let needed = 0;
    risk.openings.forEach(({ neededClearance }, n) => {
      const i = looked[n]!;
      needed = Math.max(needed, neededClearance);
      ratios[i] = sds[i]! > 0 ? neededClearance / sds[i]! : 0;
    });
    return { needed, ratios, width };
  };

  const needMost = (pattern: readonly Place[], like: Compared): readonly Edge[] => {
    const sds = sdsOf(pattern, widthOf(degreesOf(pattern)));
    return sds === undefined ? edges : nearMost(sds, like).map((i) => edges[i]!);
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

/** Indices of the openings that need nearly as much as the one that needs most. */
const nearMost = (sds: Float64Array, { ratios }: Compared): number[] => {
  const expected = sds.map((sd, i) => sd * ratios[i]!);
  const least = lookedAgain * Math.max(...expected);
  return [...expected.keys()].filter((i) => expected[i]! >= least);
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
