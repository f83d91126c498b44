/** What a finished piece says of its cut, whether its gaps were measured by hand or in a scan. */
import type { Point } from '../geometry/point.js';
import type { Warning } from '../job/messages.js';
import { studentCdf } from '../numeric/distributions.js';
import type { Edge } from '../verdict/edges/edge.js';
import { type ChosenPlaces, choosePlaces, usualPlaces } from './choose-places.js';
import { clearPlaces } from './clear-places.js';
import {
  adjustGaps,
  type CutError,
  centreOf,
  doubtLevel,
  type ErrorName,
  errorNames,
  type Gap,
  halfWidth,
  suspectGap,
} from './cut-error.js';
import type { EdgePlace, Walk } from './edge-walk.js';
import { type LeastGap, leastGaps } from './least-gaps.js';
import { type Agreement, agreementOf, type Predicted, predictedBounds, predictedSds } from './predicted.js';

/** One of shift x and y, turn, size and kerf. Units as in cut-error.ts; bed axes. */
export interface FoundError {
  readonly name: ErrorName;
  /** Undefined: these gaps do not tell it. */
  readonly value?: number;
  readonly sd?: number;
  /** Half the width of the 95 % limits. */
  readonly limit?: number;
  /** What the job predicted: its sd, and how far bounded common errors may reach besides; undefined where it predicts nothing. */
  readonly predicted?: { readonly sd: number; readonly bound: number };
  /** Of as large an error by chance, if the prediction is right; bounds taken off first. */
  readonly pValue?: number;
}

export interface Inspection {
  readonly source: 'measured' | 'scan';
  readonly clearance: number;
  /** Bed point about which turn and size are, and how far the edges reach from it, mm. */
  readonly centre: Point;
  readonly reach: number;
  readonly error: CutError;
  readonly found: readonly FoundError[];
  /** All that is told, together; undefined where nothing can be compared. */
  readonly agreement?: Agreement;
  /** Why there is nothing to compare with, a sentence. */
  readonly unpredicted?: string;
  /** In the order of the job, or along the edges of the scan. */
  readonly gaps: readonly {
    readonly place: EdgePlace;
    readonly gap: number;
    readonly adjusted: number;
    readonly residual: number;
  }[];
  readonly least: readonly LeastGap[];
  readonly suspect?: number;
  readonly warnings: readonly Warning[];
}

export interface InspectionInput {
  readonly walk: Walk;
  /** The existing edges as the verdict has them: every place that can be the nearest. */
  readonly edges: readonly Edge[];
  readonly clearance: number;
  readonly gaps: readonly Gap[];
  readonly source: 'measured' | 'scan';
  /** sd of one gap, mm. */
  readonly gapSd?: number;
  /** Of a scan: what moves all its gaps alike, as an sd of the kerf, mm. */
  readonly scanned?: { readonly kerfSd: number };
  readonly predicted?: Predicted;
  readonly unpredicted?: string;
}

/** The centre of the edges' box and the farthest place from it. */
export const frameOf = ({ stretches }: Walk): { readonly centre: Point; readonly reach: number } => {
  const places = stretches.map(({ x, y }) => ({ at: { x, y } }));
  const centre = centreOf(places);
  const reach = Math.max(...places.map(({ at }) => Math.hypot(at.x - centre.x, at.y - centre.y)));
  return { centre, reach };
};

/** The chance below which what was found contradicts the prediction. */
const beyond = 0.01;

/** Undefined where there are no gaps. */
export const inspectCut = (input: InspectionInput): Inspection | undefined => {
  const { walk, edges, clearance, gaps, source, predicted } = input;
  const { centre, reach } = frameOf(walk);
  const error = adjustGaps(gaps, {
    centre,
    reach,
    ...(input.gapSd === undefined ? {} : { statedSd: input.gapSd }),
    ...(input.scanned === undefined ? {} : { scanned: input.scanned }),
  });
  if (error === undefined) return undefined;
  const found = errorNames.map((name, k) => foundError(name, k, error, predicted));
  const agreement = predicted === undefined ? undefined : agreementOf(error, predicted);
  const suspect = source === 'measured' ? suspectGap(error) : undefined;
  const least = leastGaps(edges, clearance, error);
  return {
    source,
    clearance,
    centre,
    reach,
    error,
    found,
    ...(agreement === undefined ? {} : { agreement }),
    ...(input.unpredicted === undefined ? {} : { unpredicted: input.unpredicted }),
    gaps: gaps.map(({ place, gap }, i) => ({
      place,
      gap,
      adjusted: gap - error.residuals[i]!,
      residual: error.residuals[i]!,
    })),
    least,
    ...(suspect === undefined ? {} : { suspect: suspect.index }),
    warnings: warningsOf(input, error, least, agreement, suspect?.index),
  };
};

const foundError = (
  name: ErrorName,
  k: number,
  error: CutError,
  predicted: Predicted | undefined,
): FoundError => {
  const of =
    predicted === undefined
      ? {}
      : { predicted: { sd: predictedSds(predicted)[k]!, bound: predictedBounds(predicted)[k]! } };
  if (!error.told[k]) return { name, ...of };
  const variance = error.covariance?.[k]?.[k];
  const limit = halfWidth(error, variance);
  const alone =
    predicted === undefined
      ? undefined
      : agreementOf(
          error,
          predicted,
          errorNames.map((_, j) => j === k),
        );
  return {
    name,
    value: error.values[k]!,
    ...(variance === undefined ? {} : { sd: Math.sqrt(variance) }),
    ...(limit === undefined ? {} : { limit }),
    ...of,
    ...(alone === undefined ? {} : { pValue: alone.pValue }),
  };
};

const warningsOf = (
  { gaps, source }: InspectionInput,
  error: CutError,
  least: readonly LeastGap[],
  agreement: Agreement | undefined,
  suspect: number | undefined,
): Warning[] => {
  const warnings: Warning[] = [];
  // What a person measured counts whatever the adjustment makes of it.
  const measured = gaps.flatMap(({ gap, place }) =>
    source === 'measured' && gap < 0 ? [{ opening: place.opening, gap }] : [],
  );
  const shows = [...least.filter(({ gap }) => gap < 0), ...measured];
  if (shows.length > 0) {
    const worst = shows.reduce((a, b) => (b.gap < a.gap ? b : a));
    const { size } = new Set(shows.map(({ opening }) => opening));
    warnings.push({
      code: 'edge-crossed',
      message: `The new edge lies across the existing one at ${size === 1 ? worst.opening : `${size} openings, most at ${worst.opening}`}, by ${(-worst.gap).toFixed(3)} mm.`,
    });
  }
  const { consistency, sd } = error;
  if (source === 'measured' && consistency !== undefined && consistency.pValue < doubtLevel)
    warnings.push({
      code: 'gaps-disagree',
      message: `The gaps stray by ${sd.estimated!.toFixed(3)} mm where "gap-sd" is ${sd.stated!.toFixed(3)} mm (chance ${consistency.pValue.toExponential(0)}): the larger figure was taken. Something else than shift, turn, size and kerf is in them, or one was misread.`,
    });
  if (suspect !== undefined) {
    const { place, gap } = gaps[suspect]!;
    warnings.push({
      code: 'suspect-gap',
      message: `The gap of ${gap} mm at ${place.opening} agrees with no shift, turn, size and kerf that explain the others: it is ${Math.abs(error.residuals[suspect]!).toFixed(3)} mm off. Measure it again.`,
    });
  }
  if (agreement !== undefined && agreement.pValue < beyond)
    warnings.push({
      code: 'not-as-predicted',
      message: `As large errors as these come by chance in ${shareText(agreement.pValue)} of such cuts, if what the job and the profile state is right.`,
    });
  return warnings;
};

const shareText = (p: number): string =>
  p < 1e-6 ? 'fewer than 1 in a million' : `1 in ${Math.round(1 / p).toLocaleString('en-US')}`;

/** Two-sided chance of a deviation of so many sds. */
export const chanceOf = (sds: number, dof: number | undefined): number =>
  2 * (1 - studentCdf(Math.abs(sds), dof));

/** Candidates lie about so close, mm at least, and number about so many at most. */
const closest = 1;
const mostCandidates = 1500;
/** Places keep so far from corners, mm: a caliper has jaws (common practice, no source); less where edges are shorter. */
const fromCorners = [3, 1.5, 0.5];
/** And from one another, as a share of the reach. */
const apartShare = 0.05;

/** The few places that tell most, with how well they tell it for gaps of an sd of 1 mm. */
export const placesToMeasure = (walk: Walk, clearance: number, count = usualPlaces): ChosenPlaces => {
  const { centre, reach } = frameOf(walk);
  const whole = walk.rings.reduce((sum, { length }) => sum + length, 0);
  const spacing = Math.max(closest, whole / mostCandidates);
  let candidates: EdgePlace[] = [];
  for (const fromCorner of fromCorners) {
    candidates = clearPlaces(walk, clearance, spacing, fromCorner);
    if (candidates.length >= 8 * count) break;
  }
  return choosePlaces(candidates, count, centre, reach, apartShare * reach);
};
