/** What an adjustment found, in the words of fit.ts. */

import { apply } from '../geometry/affine.js';
import { type Point, subtract } from '../geometry/point.js';
import type { TouchEdge } from '../marks/touch-edge.js';
import type { TouchReadings } from '../marks/touches.js';
import type { Solved } from '../numeric/least-squares.js';
import { contradictionLevel, explainLeftOver } from './doubts/left-over.js';
import type {
  Fit,
  FitOptions,
  FittedMark,
  FittedRim,
  FittedTouch,
  LeftOver,
  Observation,
  PanelChange,
  PerAxis,
} from './fit.js';
import type { MarkPair } from './solve/mark-fit.js';
import { jacobianAt, matrixOf, type Placement, unknownsOf } from './solve/placement.js';
import { meanReading, type ReadingScale, type Uncertainty, uncertaintyOf } from './solve/uncertainty.js';
import { designPointOf, misclosureOf, touchRow } from './touches/touch-rows.js';

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
  const { redundancy, residuals, redundancyNumbers } = solved;
  const rows = rowsOf(adjustment);
  const residual = lessCommon(rows, adjustment);
  const uncertainty = uncertaintyOf(options, scale, residual.squares, redundancy);
  const leftOver = explained(rows, adjustment, uncertainty);
  const { factor } = uncertainty;
  const unknowns = unknownsOf[options.model];
  const influences = rows.map(({ design, sd }) =>
    solved.cofactor
      .slice(0, unknowns)
      .map((row) => row.reduce((sum, value, k) => sum + value * design[k]!, 0) / sd ** 2),
  );
  let sumOfSquares = 0;
  for (const each of residuals) sumOfSquares += each ** 2;
  return {
    model: options.model,
    matrix: matrixOf(placement),
    unknowns: unknowns + (touched?.radii.length ?? 0),
    redundancy,
    sumOfSquares,
    rms: Math.sqrt(sumOfSquares / (observations.length + (touched?.touches.length ?? 0))),
    sd: uncertainty.sd,
    ...(uncertainty.consistency === undefined ? {} : { consistency: uncertainty.consistency }),
    ...(leftOver === undefined ? {} : { leftOver }),
    marks: observations.map((o, i): FittedMark => {
      const own = { x: residuals[2 * i]!, y: residuals[2 * i + 1]! };
      const numbers = { x: redundancyNumbers[2 * i]!, y: redundancyNumbers[2 * i + 1]! };
      const reading = marks[i]!.to;
      return {
        mark: o.mark,
        design: o.design,
        reading,
        readings: o.readings.length,
        fitted: subtract(reading, own),
        residual: own,
        redundancy: numbers,
        influence: { x: influences[2 * i]!, y: influences[2 * i + 1]! },
        ...reliability(
          { x: residual.values[2 * i]!, y: residual.values[2 * i + 1]! },
          { x: residual.numbers[2 * i]!, y: residual.numbers[2 * i + 1]! },
          scale.sds[i]!,
          scale,
          uncertainty,
        ),
      };
    }),
    ...(touched === undefined
      ? {}
      : touchParts(adjustment, touched, uncertainty, influences.slice(2 * observations.length), residual)),
    ...(factor === undefined
      ? {}
      : {
          covariance: independentPart(solved.cofactor, influences, scale, unknowns).map((row) =>
            row.map((value) => value * factor),
          ),
        }),
    centre: placement.centre,
  };
};

/** A row of the adjustment: its derivatives by the unknowns, and sd. */
interface AdjustedRow {
  readonly design: readonly number[];
  readonly sd: number;
  /** The place of the drawing, after `face`. */
  readonly place: Point;
  /** Where it was read, true bed mm, and along which direction. */
  readonly at: Point;
  readonly along: Point;
}

const rowsOf = ({ observations, placement, marks, scale, touched }: Adjustment): AdjustedRow[] => {
  const extra = (touched?.rims ?? []).map(() => 0);
  const ofMarks = observations.flatMap(({ design: place }, i): AdjustedRow[] => {
    const { x, y } = jacobianAt(placement, place);
    const { to: at, sd } = marks[i]!;
    return [
      { design: [...x, ...extra], sd: sd.x, place, at, along: { x: 1, y: 0 } },
      { design: [...y, ...extra], sd: sd.y, place, at, along: { x: 0, y: 1 } },
    ];
  });
  const ofTouches = (touched?.touches ?? []).map(({ edge, readings }, i): AdjustedRow => {
    const { rims, radii, spans } = touched!;
    const sd = scale.touchSds[i]!;
    const column = rims.indexOf(edge);
    const { design } = touchRow(placement, { edge, to: readings, sd }, spans[i]!, { column, radii });
    const at = meanReading(readings);
    const { normal } = misclosureOf(placement, edge, at, spans[i]![0]!, radii[column]);
    return { design, sd, place: designPointOf(placement, at), at, along: normal };
  });
  return [...ofMarks, ...ofTouches];
};

/** What moves each row, mm on the bed. */
type Moved = (row: AdjustedRow) => Point;

const onTheBed =
  (change: PanelChange, { linear: [a, b, c, d] }: Placement): Moved =>
  ({ place }) => {
    const { x, y } = change(place);
    return { x: a * x + c * y, y: b * x + d * y };
  };

/** A movement along each row over its sd, less what the fit takes over. */
const leftBy = (rows: readonly AdjustedRow[], { cofactor }: Solved, moved: Moved): number[] =>
  lessTaken(
    rows,
    cofactor,
    rows.map((row) => {
      const { x, y } = moved(row);
      return (row.along.x * x + row.along.y * y) / row.sd;
    }),
  );

/** Taken is  design cofactor design'  over the sds. */
const lessTaken = (
  rows: readonly AdjustedRow[],
  cofactor: Solved['cofactor'],
  whole: readonly number[],
): number[] => {
  const taken = cofactor.map((_, k) =>
    rows.reduce((sum, { design, sd }, i) => sum + (design[k]! / sd) * whole[i]!, 0),
  );
  const change = cofactor.map((row) => row.reduce((sum, value, k) => sum + value * taken[k]!, 0));
  return rows.map(
    ({ design, sd }, i) => whole[i]! - design.reduce((sum, value, k) => sum + value * change[k]!, 0) / sd,
  );
};

/** What explains residuals that the stated sd does not. */
const explained = (
  rows: readonly AdjustedRow[],
  { observations, options, placement, scale, solved, touched }: Adjustment,
  { consistency }: Uncertainty,
): LeftOver | undefined => {
  if (consistency === undefined || consistency.pValue >= contradictionLevel) return undefined;
  const { cofactor, redundancy, residuals } = solved;
  const mistakeIn = (row: number): number[] =>
    lessTaken(
      rows,
      cofactor,
      rows.map((_, i) => (i === row ? 1 : 0)),
    );
  const first = 2 * observations.length;
  const { degrees } = scale.reference ?? {};
  return explainLeftOver({
    rho: rows.map(({ sd }, i) => residuals[i]! / sd),
    redundancy,
    leftBy: (change) => leftBy(rows, solved, onTheBed(change, placement)),
    mistakes: [
      ...observations.map((_, i) => [mistakeIn(2 * i), mistakeIn(2 * i + 1)]),
      ...(touched?.touches ?? []).map((_, i) => [mistakeIn(first + i)]),
    ],
    canTurn: options.model !== 'shift',
    ...(degrees === undefined ? {} : { degrees }),
    ...(options.panel === undefined ? {} : { panel: options.panel() }),
  });
};

/** Of the residuals as errors common to all that was read leave them: squares, values and redundancy numbers. */
interface ResidualsLessCommon {
  readonly squares: number;
  readonly values: readonly number[];
  readonly numbers: readonly number[];
}

/**
 * Residuals over their sds are, in the space of the redundancy, of covariance  I + B B',  B one column for each common
 * error of one sd as the fit leaves it. So instead of rho the test takes  rho - B (I + B'B)^-1 B' rho,  and instead of the
 * redundancy number of a row the diagonal of  P - B (I + B'B)^-1 B'  (M. A. Woodbury's identity).
 */
const lessCommon = (
  rows: readonly AdjustedRow[],
  { options, placement, solved, scale }: Adjustment,
): ResidualsLessCommon => {
  const { residuals, redundancyNumbers, weightedSquares } = solved;
  const common = [
    ...(options.commonErrors ?? []).map(
      (error): Moved =>
        ({ at }) =>
          apply(error, at),
    ),
    ...(options.panelErrors ?? []).map((change) => onTheBed(change, placement)),
  ];
  const plain = { squares: weightedSquares, values: residuals, numbers: redundancyNumbers };
  if (common.length === 0 || solved.redundancy === 0 || scale.reference === undefined) return plain;
  const columns = common.map((error) => leftBy(rows, solved, error));
  const rho = rows.map(({ sd }, i) => residuals[i]! / sd);
  const dot = (a: readonly number[], b: readonly number[]): number =>
    a.reduce((sum, value, i) => sum + value * b[i]!, 0);
  // One column after the other: each is orthogonalised against those before it in the metric of what is left.
  let squares = weightedSquares;
  const values = [...rho];
  const numbers = [...redundancyNumbers];
  const left = columns.map((column) => [...column]);
  for (let k = 0; k < left.length; k++) {
    const column = left[k]!;
    const own = columns[k]!;
    const total = 1 + dot(own, column);
    const share = dot(own, values) / total;
    squares -= share * dot(own, values);
    for (let i = 0; i < values.length; i++) {
      values[i]! -= share * column[i]!;
      numbers[i]! -= column[i]! ** 2 / total;
    }
    for (let next = k + 1; next < left.length; next++) {
      const factor = dot(columns[next]!, column) / total;
      for (let i = 0; i < column.length; i++) left[next]![i]! -= factor * column[i]!;
    }
  }
  return {
    squares: Math.max(0, squares),
    values: values.map((value, i) => value * rows[i]!.sd),
    numbers: numbers.map((value) => Math.max(0, value)),
  };
};

/** The cofactors without what is bounded and not drawn for each mark (ReadingScale.bounded). */
const independentPart = (
  cofactor: readonly (readonly number[])[],
  influences: readonly (readonly number[])[],
  { bounded, boundedTouches }: ReadingScale,
  unknowns: number,
): number[][] => {
  const result = cofactor.slice(0, unknowns).map((row) => row.slice(0, unknowns));
  const variances = [...bounded.flatMap(({ x, y }) => [x, y]), ...boundedTouches];
  variances.forEach((variance, i) => {
    if (variance === 0) return;
    const influence = influences[i]!;
    for (let r = 0; r < unknowns; r++)
      for (let c = 0; c < unknowns; c++) result[r]![c]! -= variance * influence[r]! * influence[c]!;
  });
  return result;
};

const touchParts = (
  { observations, options, placement, solved, scale }: Adjustment,
  { touches, spans, rims, radii }: Touched,
  uncertainty: Uncertainty,
  influences: readonly (readonly number[])[],
  lessCommonErrors: ResidualsLessCommon,
): Pick<Fit, 'touches' | 'rims' | 'rimCovariance' | 'referenceSd'> => {
  const first = 2 * observations.length;
  const { factor } = uncertainty;
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
        { x: lessCommonErrors.values[first + i]!, y: 0 },
        { x: lessCommonErrors.numbers[first + i]!, y: 0 },
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
