/**
 * An inspection as `--json` prints it: the contract of README.md; full precision, null where
 * something is absent.
 */
import type { ChosenPlaces } from '../../inspect/choose-places.js';
import { type ErrorName, errorNames } from '../../inspect/cut-error.js';
import type { EdgePlace } from '../../inspect/edge-walk.js';
import type { Inspection } from '../../inspect/inspection.js';
import { kerfByGamma, type ScanGaps } from '../../inspect/scanned/scan-gaps.js';
import type { Job } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';

export interface InspectJson {
  job: string;
  /** The scan whose gaps were taken; null: those of the job, or none. */
  scan: string | null;
  clearance: number;
  /** Where to measure, drawing; empty where gaps are there. */
  toMeasure: { opening: string; place: [number, number]; expected: number }[];
  /** sd of each error per mm of the sd of one gap, of gaps at those places. */
  toMeasureSds: { [name in ErrorName]: number | null } | null;
  /** sd of one gap; of a scan that of its stretches. */
  gapSd: { stated: number | null; estimated: number | null; used: number | null; dof: number | null } | null;
  redundancy: number | null;
  /** Drawing; turn and size are about it. */
  centre: [number, number] | null;
  /**
   * mm along the display's axes, radians counter-clockwise on the bed, a share of the size, mm of
   * the kerf's full width; `predictedBound`: how far bounded common errors may reach besides.
   * `pValue`: chance of as much by the prediction.
   */
  errors: {
    name: ErrorName;
    value: number | null;
    sd: number | null;
    limits: [number, number] | null;
    predictedSd: number | null;
    predictedBound: number | null;
    pValue: number | null;
  }[];
  /** Of the values in this order; null where no uncertainty is claimed. */
  covariance: number[][] | null;
  agreement: { statistic: number; errors: number; dof: number | null; pValue: number } | null;
  unpredicted: string | null;
  /** Places in the drawing; `widest` beside a side. */
  openings: {
    id: string;
    leastGap: number;
    limits: [number, number] | null;
    at: [number, number];
    /** Of a scan: the least that was seen at a stretch, and where. */
    seen: { gap: number; at: [number, number] } | null;
    widest: number | null;
    widestAt: [number, number] | null;
  }[];
  gaps: {
    opening: string;
    place: [number, number];
    gap: number;
    adjusted: number;
    residual: number;
    suspect: boolean;
  }[];
  /**
   * Of a scan: sd of the blur across an edge, mm; the power of the picture's values that is light,
   * and whether it was stated; by how much the kerf would be another one for a power of 2.2; share
   * of the edges' length where nothing was told; stretches where the film hides the existing edge.
   */
  picture: {
    blur: number;
    gamma: number;
    gammaStated: boolean;
    kerfByGamma: number;
    unseenShare: number;
    covered: { opening: string; at: [number, number]; gap: number; length: number }[];
  } | null;
  warnings: Warning[];
}

export interface InspectReport {
  readonly job: Job;
  readonly scan?: { readonly path: string; readonly gaps: ScanGaps };
  /** Bed to drawing. */
  readonly toDrawing: (p: { readonly x: number; readonly y: number }) => {
    readonly x: number;
    readonly y: number;
  };
  readonly inspection?: Inspection;
  readonly places?: ChosenPlaces;
  readonly expected: (place: EdgePlace) => number;
  readonly warnings: readonly Warning[];
}

/**
 * Errors along the display's axes: y and the turn's sense as the operator sees the figures grow.
 */
export const displaySign = ({ machine }: Job, name: ErrorName): 1 | -1 =>
  machine.axes === 'y-down' && name === 'y' ? -1 : 1;

export const inspectJson = (report: InspectReport): InspectJson => {
  const { job, scan, inspection, places, expected, toDrawing, warnings } = report;
  const pair = (p: { readonly x: number; readonly y: number }): [number, number] => {
    const { x, y } = toDrawing(p);
    return [x, y];
  };
  const signs = errorNames.map((name) => displaySign(job, name));
  const { error } = inspection ?? {};
  return {
    job: job.path,
    scan: scan?.path ?? null,
    clearance: job.cut.clearance,
    toMeasure:
      places?.places.map((place) => ({
        opening: place.opening,
        place: [place.drawn.x, place.drawn.y],
        expected: expected(place),
      })) ?? [],
    toMeasureSds:
      places === undefined
        ? null
        : (Object.fromEntries(errorNames.map((name, k) => [name, places.sds[k] ?? null])) as {
            [name in ErrorName]: number | null;
          }),
    gapSd:
      error === undefined
        ? null
        : {
            stated: error.sd.stated ?? null,
            estimated: error.sd.estimated ?? null,
            used: error.sd.used ?? null,
            dof: error.sd.dof ?? null,
          },
    redundancy: error?.redundancy ?? null,
    centre: inspection === undefined ? null : pair(inspection.centre),
    errors:
      inspection?.found.map(({ name, value, sd, limit, predicted, pValue }, k) => {
        const signed = value === undefined ? undefined : signs[k]! * value;
        return {
          name,
          value: signed ?? null,
          sd: sd ?? null,
          limits:
            signed === undefined || limit === undefined
              ? null
              : ([signed - limit, signed + limit] as [number, number]),
          predictedSd: predicted?.sd ?? null,
          predictedBound: predicted?.bound ?? null,
          pValue: pValue ?? null,
        };
      }) ?? [],
    covariance:
      error?.covariance?.map((row, i) => row.map((v, j) => (v === 0 ? 0 : signs[i]! * signs[j]! * v))) ??
      null,
    agreement:
      inspection?.agreement === undefined
        ? null
        : {
            statistic: inspection.agreement.statistic,
            errors: inspection.agreement.errors,
            dof: inspection.agreement.dof ?? null,
            pValue: inspection.agreement.pValue,
          },
    unpredicted: inspection?.unpredicted ?? null,
    openings:
      inspection?.least.map(({ opening, gap, limit, at, seen, widest, widestAt }) => ({
        id: opening,
        leastGap: gap,
        limits: limit === undefined ? null : ([gap - limit, gap + limit] as [number, number]),
        at: pair(at),
        seen: seen === undefined ? null : { gap: seen.gap, at: pair(seen.at) },
        widest: widest ?? null,
        widestAt: widestAt === undefined ? null : pair(widestAt),
      })) ?? [],
    gaps:
      inspection?.gaps.map(({ place, gap, adjusted, residual }, i) => ({
        opening: place.opening,
        place: [place.drawn.x, place.drawn.y] as [number, number],
        gap,
        adjusted,
        residual,
        suspect: inspection.suspect === i,
      })) ?? [],
    picture:
      scan === undefined
        ? null
        : {
            blur: scan.gaps.blur,
            gamma: scan.gaps.gamma.value,
            gammaStated: scan.gaps.gamma.stated,
            kerfByGamma: kerfByGamma(scan.gaps),
            unseenShare: scan.gaps.unseen.share,
            covered: scan.gaps.seen
              .filter(({ by }) => by === 'covered')
              .map(({ place, gap, length }) => ({
                opening: place.opening,
                at: [place.drawn.x, place.drawn.y] as [number, number],
                gap,
                length,
              })),
          },
    warnings: [...warnings],
  };
};
