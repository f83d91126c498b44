/**
 * The fit as `--json` prints it: the contract of the README beside it, full precision, null where
 * something is absent.
 */

import type { Fit, FittedRim, PerAxis } from '../../fit/fit.js';
import { displayStepOf } from '../../fit/options.js';
import { compose, decompose, type Matrix } from '../../geometry/affine.js';
import type { Point } from '../../geometry/point.js';
import type { Job } from '../../job/job.js';
import type { Warning } from '../../job/messages.js';
import { faceMatrix, trueToPointer } from '../../marks/frames.js';

export type Pair = [number, number];

export interface FitJson {
  job: string;
  model: string;
  /** Design frame to true bed mm, the mirror of `face: down` included. */
  matrix: Matrix;
  /** Of the placed part: what the fit did to the design as it lies, after `face`. */
  rotationDeg: number;
  translation: Pair;
  scale: Pair;
  shearDeg: number;
  unknowns: number;
  redundancy: number;
  sumOfSquares: number;
  rms: number;
  sd: {
    stated: number | null;
    statedDof: number | null;
    estimated: number | null;
    used: number | null;
    usedDof: number | null;
  };
  /** What the display counts in, mm, and whether the job states it or the readings show it. */
  displayStep: { step: number; from: 'stated' | 'found' } | null;
  consistency: { chiSquare: number; pValue: number; consistent: boolean } | null;
  /** Empty where only touches tell the placement. */
  marks: MarkJson[];
  /** Only in a job with touches, in the order of the file. */
  touches?: TouchJson[];
  /** Only in a job with touches: rims whose radius was one more unknown. */
  rims?: { on: string; radius: number; sd: number | null }[];
  /**
   * Only where there are such: round edges whose radius was found, or stated (`sd` is null then).
   * `radius` is that of the edge that exists, which is cut and judged from, mm; `drawn` what the
   * drawing and the piercing kerf would have made it.
   */
  roundEdges?: { on: string; radius: number; sd: number | null; stated: boolean; drawn: number }[];
  warnings: Warning[];
}

export interface MarkJson {
  name: string;
  /** Design frame, before `face`. */
  design: Pair;
  /** Display coordinates; the mean where there are several readings. */
  reading: Pair;
  readings: number;
  /** Display coordinates. */
  fitted: Pair;
  /** Reading minus fitted, true bed mm. */
  residual: Pair;
  distance: number;
  redundancy: Pair;
  /** Per axis, null on an axis without redundancy or sd. */
  normalized: PairOrNull;
  smallestDetectable: PairOrNull;
}

export interface TouchJson {
  on: string;
  /** Display coordinates; the mean where there are several readings. */
  at: Pair;
  readings: number;
  /** The place of the edge it is taken to be at, display coordinates. */
  foot: Pair;
  /** Signed distance from the edge, true bed mm, positive into the material. */
  residual: number;
  redundancy: number;
  /** null without redundancy or sd. */
  normalized: number | null;
  smallestDetectable: number | null;
}

export const pair = (p: Point): Pair => [p.x, p.y];

type PairOrNull = [number | null, number | null];

const pairOrNull = (p: PerAxis): PairOrNull => [p.x ?? null, p.y ?? null];

export const degrees = (radians: number): number => (radians * 180) / Math.PI;

const touchKeys = (
  { touches, rims = [] }: Fit,
  onDisplay: (p: Point) => Point,
): Pick<FitJson, 'touches' | 'rims' | 'roundEdges'> =>
  touches === undefined
    ? {}
    : {
        touches: touches.map((t) => ({
          on: t.on,
          at: pair(onDisplay(t.reading)),
          readings: t.readings,
          foot: pair(onDisplay(t.foot)),
          residual: t.residual,
          redundancy: t.redundancy,
          normalized: t.normalized ?? null,
          smallestDetectable: t.smallestDetectable ?? null,
        })),
        rims: rims
          .filter(({ stated }) => stated !== true)
          .map(({ on, radius, sd }) => ({ on, radius, sd: sd ?? null })),
        ...(rims.length === 0 ? {} : { roundEdges: rims.map(roundEdge) }),
      };

const roundEdge = ({ on, radius, sd, stated, expectedRadius: drawn }: FittedRim) => ({
  on,
  radius,
  sd: sd ?? null,
  stated: stated === true,
  drawn,
});

export const fitJson = (job: Job, fit: Fit, warnings: readonly Warning[]): FitJson => {
  const { rotation, scale, shear } = decompose(fit.matrix);
  const onDisplay = trueToPointer(job.machine);
  const mirror = job.face === 'down' ? -1 : 1;
  return {
    job: job.path,
    model: fit.model,
    matrix: compose(fit.matrix, faceMatrix(job.face)),
    rotationDeg: degrees(rotation),
    translation: [fit.matrix[4], fit.matrix[5]],
    scale: [...scale],
    shearDeg: degrees(shear),
    unknowns: fit.unknowns,
    redundancy: fit.redundancy,
    sumOfSquares: fit.sumOfSquares,
    rms: fit.rms,
    sd: {
      stated: fit.sd.stated ?? null,
      statedDof: fit.sd.statedDof ?? null,
      estimated: fit.sd.estimated ?? null,
      used: fit.sd.used ?? null,
      usedDof: fit.sd.usedDof ?? null,
    },
    displayStep: displayStepOf(job) ?? null,
    consistency: fit.consistency === undefined ? null : { ...fit.consistency },
    marks: fit.marks.map((m) => ({
      name: m.mark,
      design: [mirror * m.design.x, m.design.y],
      reading: pair(onDisplay(m.reading)),
      readings: m.readings,
      fitted: pair(onDisplay(m.fitted)),
      residual: pair(m.residual),
      distance: Math.hypot(m.residual.x, m.residual.y),
      redundancy: pair(m.redundancy),
      normalized: pairOrNull(m.normalized),
      smallestDetectable: pairOrNull(m.smallestDetectable),
    })),
    ...touchKeys(fit, onDisplay),
    warnings: [...warnings],
  };
};
