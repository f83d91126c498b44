/** What an adjustment found, in the words of fit.ts. */
import { type Point, subtract } from '../geometry/point.js';
import type { TouchEdge } from '../marks/touch-edge.js';
import type { TouchReadings } from '../marks/touches.js';
import type { Solved } from '../numeric/least-squares.js';
import type { Fit, FitOptions, FittedMark, FittedRim, FittedTouch, Observation, PerAxis } from './fit.js';
import type { MarkPair } from './mark-fit.js';
import { matrixOf, type Placement, unknownsOf } from './placement.js';
import { designPointOf, misclosureOf, touchRow } from './touch-rows.js';
import { meanReading, type ReadingScale, type Uncertainty, uncertaintyOf } from './uncertainty.js';

/**
 * Smallest mistake found with power 0.80 by a test at 0.001, in units of the reading's sd and before division by
 * the root of the redundancy number: W. Baarda, *A testing procedure for use in geodetic networks* (1968);
 * z(.9995) + z(.80) = 3.2905 + 0.8416.
 */
export const detectableShift = 4.1321;
/** Two-sided critical value of a normalized residual at 0.001 (Baarda 1968). */
export const criticalResidual = 3.2905;
/** Below this redundancy number a reading is not checked by any other. */
export const uncheckedBelow = 1e-9;

export interface Adjustment {
  readonly observations: readonly Observation[];
  readonly options: FitOptions;
  readonly placement: Placement;
  readonly marks: readonly MarkPair[];
  readonly scale: ReadingScale;
  /** Rows: x and y of each mark, then one of each touch. Unknowns: of the model, then the radii. */
  readonly solved: Solved;
  readonly touched?: Touched;
}

export interface Touched {
  readonly touches: readonly TouchReadings[];
  /** Per touch and reading. */
  readonly spans: readonly (readonly number[])[];
  readonly rims: readonly TouchEdge[];
  readonly radii: readonly number[];
}

export const assemble = (adjustment: Adjustment): Fit => {
  const { observations, options, placement, marks, scale, solved, touched } = adjustment;
  const { redundancy, weightedSquares, residuals, redundancyNumbers } = solved;
  const uncertainty = uncertaintyOf(options, scale, weightedSquares, redundancy);
  const { factor } = uncertainty;
  const unknowns = unknownsOf[options.model];
  let sumOfSquares = 0;
  for (const residual of residuals) sumOfSquares += residual ** 2;
  return {
    model: options.model,
    matrix: matrixOf(placement),
    unknowns: unknowns + (touched?.radii.length ?? 0),
    redundancy,
    sumOfSquares,
    rms: Math.sqrt(sumOfSquares / (observations.length + (touched?.touches.length ?? 0))),
    sd: uncertainty.sd,
    ...(uncertainty.consistency === undefined ? {} : { consistency: uncertainty.consistency }),
    marks: observations.map((o, i): FittedMark => {
      const residual = { x: residuals[2 * i]!, y: residuals[2 * i + 1]! };
      const numbers = { x: redundancyNumbers[2 * i]!, y: redundancyNumbers[2 * i + 1]! };
      const reading = marks[i]!.to;
      return {
        mark: o.mark,
        design: o.design,
        reading,
        readings: o.readings.length,
        fitted: subtract(reading, residual),
        residual,
        redundancy: numbers,
        ...reliability(residual, numbers, scale.sds[i]!, scale, uncertainty),
      };
    }),
    ...(touched === undefined ? {} : touchParts(adjustment, touched, uncertainty)),
    ...(factor === undefined
      ? {}
      : {
          covariance: solved.cofactor
            .slice(0, unknowns)
            .map((row) => row.slice(0, unknowns).map((value) => value * factor)),
        }),
    centre: placement.centre,
  };
};

const touchParts = (
  { observations, options, placement, solved, scale }: Adjustment,
  { touches, spans, rims, radii }: Touched,
  uncertainty: Uncertainty,
): Pick<Fit, 'touches' | 'rims' | 'rimCovariance' | 'referenceSd'> => {
  const first = 2 * observations.length;
  const { factor } = uncertainty;
  const influences = touches.map(({ edge, readings }, i) => {
    const sd = scale.touchSds[i]!;
    const column = rims.indexOf(edge);
    const { design } = touchRow(placement, { edge, to: readings, sd }, spans[i]!, { column, radii });
    return solved.cofactor
      .slice(0, unknownsOf[options.model])
      .map((row) => row.reduce((sum, value, k) => sum + value * design[k]!, 0) / sd ** 2);
  });
  return {
    ...(scale.reference === undefined ? {} : { referenceSd: scale.reference.sd }),
    touches: touches.map(({ touch, edge, readings }, i): FittedTouch => {
      const residual = solved.residuals[first + i]!;
      const redundancy = solved.redundancyNumbers[first + i]!;
      const reading = meanReading(readings);
      const radius = radii[rims.indexOf(edge)];
      const { normal } = misclosureOf(placement, edge, reading, spans[i]![0]!, radius);
      const across = readings.map((p, k) => misclosureOf(placement, edge, p, spans[i]![k]!, radius).residual);
      const foot = { x: reading.x - residual * normal.x, y: reading.y - residual * normal.y };
      const both = reliability(
        { x: residual, y: 0 },
        { x: redundancy, y: 0 },
        { x: scale.touchSds[i]!, y: 1 },
        scale,
        uncertainty,
      );
      const { x: normalized } = both.normalized;
      const { x: smallestDetectable } = both.smallestDetectable;
      return {
        touch,
        on: edge.name,
        reading,
        readings: readings.length,
        ...(across.length === 1 ? {} : { across }),
        design: designPointOf(placement, foot),
        foot,
        normal,
        residual,
        redundancy,
        influence: influences[i]!,
        ...(normalized === undefined ? {} : { normalized }),
        ...(smallestDetectable === undefined ? {} : { smallestDetectable }),
      };
    }),
    ...(rims.length === 0 || factor === undefined
      ? {}
      : { rimCovariance: solved.cofactor.map((row) => row.map((value) => value * factor)) }),
    ...rimsOf(touches, rims, radii, (i) => {
      const at = unknownsOf[options.model] + i;
      return factor === undefined ? undefined : Math.sqrt(factor * solved.cofactor[at]![at]!);
    }),
  };
};

/** The rims whose radius was found, then those whose radius was stated. */
const rimsOf = (
  touches: readonly TouchReadings[],
  unknown: readonly TouchEdge[],
  radii: readonly number[],
  sdOf: (i: number) => number | undefined,
): Pick<Fit, 'rims'> => {
  const edges = [...new Set(touches.map(({ edge }) => edge))];
  const stated = edges.filter(({ rim }) => rim?.radius !== undefined);
  if (unknown.length + stated.length === 0) return {};
  const rimOf = ({ name, rim }: TouchEdge, radius: number): FittedRim => {
    const { centre, drawnRadius, setBack, outside } = rim!;
    return {
      on: name,
      radius,
      centre,
      drawnRadius,
      expectedRadius: drawnRadius + outside * setBack,
      setBack,
      outside,
    };
  };
  return {
    rims: [
      ...unknown.map((edge, i): FittedRim => {
        const sd = sdOf(i);
        return { ...rimOf(edge, radii[i]!), ...(sd === undefined ? {} : { sd }) };
      }),
      ...stated.map((edge): FittedRim => ({ ...rimOf(edge, edge.rim!.radius!), stated: true })),
    ],
  };
};

/**
 * Against the sd that does not come from these residuals (stated, or from repeated readings) where there is one: a
 * scale widened or pooled by a mistake would hide that mistake. Only without it against the estimated sd.
 */
const reliability = (
  residual: Point,
  numbers: Point,
  sd: Point,
  { reference }: ReadingScale,
  { factor }: Uncertainty,
): Pick<FittedMark, 'normalized' | 'smallestDetectable'> => {
  const unit = reference === undefined ? Math.sqrt(factor ?? 0) : 1;
  const checked = (['x', 'y'] as const).filter((axis) => unit > 0 && numbers[axis] >= uncheckedBelow);
  const perAxis = (value: (axis: 'x' | 'y') => number): PerAxis =>
    Object.fromEntries(checked.map((axis) => [axis, value(axis)]));
  return {
    normalized: perAxis((axis) => residual[axis] / (unit * sd[axis] * Math.sqrt(numbers[axis]))),
    smallestDetectable: perAxis((axis) => (detectableShift * unit * sd[axis]) / Math.sqrt(numbers[axis])),
  };
};
