/**
 * Errors that the whole job shares and of which only bounds are known, as displacements of bed points: where the new cut
 * lands minus where it belongs on the part. What the readings see of an error, e at each reading, the fit takes over as far
 * as its model can, H e; what moves the material by m(p) as well then leaves  H m - m(p).
 */

import { contradictionLevel, possibleSds } from '../../fit/doubts/left-over.js';
import type { Fit, FitOptions, Observation, PanelChange } from '../../fit/fit.js';
import { largestRounding } from '../../fit/solve/display-step.js';
import { apply, applyLinear, identity, invert, type Matrix } from '../../geometry/affine.js';
import { type Box, length, type Point } from '../../geometry/point.js';
import type { TouchReadings } from '../../marks/touches.js';
import { type Displacement, shiftBy } from './displacement.js';
import { displacementOf } from './error-field.js';
import type { Bounded } from './vertices.js';

/** What a job says of them. */
export interface CommonSettings {
  /** Unknown sides of the beam offset, half the lost motion per axis for each, mm. */
  readonly offsetSides: readonly Point[];
  /** Lost motion in the cut, mm per axis; 0: none, or compensated. */
  readonly cutReversal: readonly [number, number];
  /** Habit of the eye to any side, mm. */
  readonly pointingBias: number;
  /** Growth or shrinkage of the panel, as a share. */
  readonly sizeChange: number;
  /** Bow of the panel's middle off the chord of its ends, mm. */
  readonly bow: number;
  /** Of the panel in the design after `face`. */
  readonly panel: () => Box;
}

export const noCommon: CommonSettings = {
  offsetSides: [],
  cutReversal: [0, 0],
  pointingBias: 0,
  sizeChange: 0,
  bow: 0,
  panel: () => ({ minX: 0, minY: 0, maxX: 0, maxY: 0 }),
};

export interface CommonInput {
  readonly fit: Fit;
  /** In the order of `fit.marks`. */
  readonly observations: readonly Observation[];
  readonly touches: readonly TouchReadings[];
  readonly options: FitOptions;
  readonly settings: CommonSettings;
}

/** @param way of rounding, where marks are rounded alike and that makes a difference: rounded-alike.ts */
export const boundedErrors = (input: CommonInput, way?: 'alike' | 'apart'): Bounded => {
  const { fit, settings } = input;
  const generators: Displacement[] = [
    ...settings.offsetSides.flatMap(({ x, y }) => [shiftBy(x, 0), shiftBy(0, y)]),
    ...sidesOfReadings(input),
    ...(way === 'apart' ? [] : sharedRoundings(input)),
    ...(settings.sizeChange > 0 ? [sizeError(fit, settings.sizeChange)] : []),
    ...(settings.bow > 0 ? [bowError(fit, settings.bow, settings.panel())] : []),
    ...leftOverErrors(fit, settings.panel),
  ];
  return {
    generators: merged(generators),
    anyDirection: settings.pointingBias + (contradiction(fit) ?? 0),
  };
};

/**
 * The largest residual, mm, where the readings contradict the stated sd and no change of the panel explains them: what is
 * left over is systematic then, and as large between the marks as it shows at them. Undefined where they do not.
 */
export const contradiction = (fit: Fit): number | undefined => {
  if (fit.leftOver !== undefined) return undefined;
  if (fit.consistency === undefined || fit.consistency.pValue >= contradictionLevel) return undefined;
  const ofMarks = fit.marks.map(({ residual }) => length(residual));
  const ofTouches = (fit.touches ?? []).map(({ residual }) => Math.abs(residual));
  return Math.max(...ofMarks, ...ofTouches);
};

/** The change of the panel that explains the residuals, as large as it is found and may be. */
const leftOverErrors = (fit: Fit, panel: () => Box): Displacement[] => {
  const { leftOver } = fit;
  if (leftOver === undefined) return [];
  const { cause, changes, amounts, covariance } = leftOver;
  const sds = covariance.map((row, k) => Math.sqrt(row[k]!));
  if (cause === 'bow') return [bowError(fit, Math.abs(amounts[0]!) + possibleSds * sds[0]!, panel())];
  const units = changes.map((change) => changeError(fit, change));
  if (units.length === 1) return [{ matrix: sumOf(units, [Math.abs(amounts[0]!) + possibleSds * sds[0]!]) }];
  return [
    { matrix: sumOf(units, amounts) },
    ...units.map((unit, k) => ({ matrix: sumOf([unit], [possibleSds * sds[k]!]) })),
  ];
};

const sumOf = (matrices: readonly Matrix[], factors: readonly number[]): Matrix => {
  const sum: [number, number, number, number, number, number] = [0, 0, 0, 0, 0, 0];
  matrices.forEach((matrix, k) => {
    matrix.forEach((value, i) => {
      sum[i]! += factors[k]! * value;
    });
  });
  return sum;
};

/** What a linear change of the panel, in the design frame, does to the cut: p -> displacement of bed points. */
const changeError = (fit: Fit, change: PanelChange): Matrix => {
  const back = invert(fit.matrix) ?? identity;
  const onBed = (x: number, y: number): Point => applyLinear(fit.matrix, change(apply(back, { x, y })));
  const [origin, right, up] = [onBed(0, 0), onBed(1, 0), onBed(0, 1)];
  const moved: Matrix = [
    right.x - origin.x,
    right.y - origin.y,
    up.x - origin.x,
    up.y - origin.y,
    origin.x,
    origin.y,
  ];
  const taken = takenUp(fit, (p) => apply(moved, p));
  return sumOf([taken, moved], [1, -1]);
};

/** How the fit moves when each reading moves by e(place), as a displacement of bed points. */
const takenUp = (fit: Fit, e: (at: Point) => Point): Matrix => {
  const rows = [
    ...fit.marks.map(({ reading, influence }) => {
      const { x, y } = e(reading);
      return influence.x.map((value, k) => value * x + influence.y[k]! * y);
    }),
    ...(fit.touches ?? []).map(({ reading, normal, influence }) => {
      const { x, y } = e(reading);
      return influence.map((value) => value * (normal.x * x + normal.y * y));
    }),
  ];
  const count = rows[0]?.length ?? 0;
  return displacementOf(
    fit,
    Array.from({ length: count }, (_, k) => rows.reduce((sum, row) => sum + row[k]!, 0)),
  );
};

/** Marks and touches reached from a side that nothing tells: all alike, or each from its own. */
export const sidesOfReadings = ({
  fit,
  observations,
  touches,
}: Pick<CommonInput, 'fit' | 'observations' | 'touches'>): Displacement[] => {
  const read = [
    ...fit.marks.map(({ influence }, i) => ({ side: observations[i]?.side, ...influence })),
    ...(fit.touches ?? []).map(({ influence, normal }, i) => ({
      side: touches[i]?.side,
      x: influence.map((value) => value * normal.x),
      y: influence.map((value) => value * normal.y),
    })),
  ];
  const found: Displacement[] = [];
  for (const [axis, name] of [
    [0, 'x'],
    [1, 'y'],
  ] as const) {
    const open = read.filter(({ side }) => side !== undefined && side[name] > 0);
    const moves = open.map((one) => one[name].map((value) => value * one.side![name]));
    if (moves.length === 0) continue;
    if (open[0]!.side!.alike[axis]) {
      const sum = moves[0]!.map((_, k) => moves.reduce((all, move) => all + move[k]!, 0));
      found.push({ matrix: displacementOf(fit, sum) });
    } else found.push(...moves.map((move) => ({ matrix: displacementOf(fit, move) })));
  }
  return found;
};

/** Shares of a reading's sd below which a shift is not worth a search. */
const negligible = 0.03;

/** An estimated sd says too little of the noise to spare any of the rounding. */
const sharedHalf = ({ sd }: Fit, { displayStep = 0 }: FitOptions): number =>
  largestRounding(sd.stated ?? 0, displayStep);

/** Whether rounding that marks share moves them by what counts beside the noise. */
export const roundsAlike = (fit: Fit, options: FitOptions): boolean => {
  const half = sharedHalf(fit, options);
  return half > 0 && half >= negligible * (fit.sd.stated ?? 0);
};

/**
 * Marks that the display rounds alike (fit/solve/display-step.ts) are shifted together; those of one class by one amount. Where
 * all marks are in step that is a shift of the whole.
 */
const sharedRoundings = ({ fit, observations, options }: CommonInput): Displacement[] => {
  if (!roundsAlike(fit, options)) return [];
  const half = sharedHalf(fit, options);
  return (['x', 'y'] as const).flatMap((axis): Displacement[] => {
    const moves = fit.marks.flatMap(({ influence }, i) =>
      observations[i]?.inStep?.[axis] === true ? [influence[axis].map((value) => value * half)] : [],
    );
    if (moves.length === 0) return [];
    const sum = moves[0]!.map((_, k) => moves.reduce((all, move) => all + move[k]!, 0));
    return [{ matrix: displacementOf(fit, sum) }];
  });
};

/** How a fit moves when each reading moves by e(place on the bed), as a displacement of bed points. */
export type TakenUp = (e: (at: Point) => Point) => Matrix;

/** A panel that has grown by the share: m(p) = share x p. */
export const sizeError = (fit: Fit, share: number): Displacement =>
  sizeErrorOf((e) => takenUp(fit, e), share);

export const sizeErrorOf = (taken: TakenUp, share: number): Displacement => {
  const grown = taken(({ x, y }) => ({ x: share * x, y: share * y }));
  const [a, b, c, d, e, f] = grown;
  return { matrix: [a - share, b, c, d - share, e, f] };
};

/** A panel bowed in its plane: the middle of its longer side lies `bow` off the chord of its ends, as a parabola. */
export const bowError = (fit: Fit, bow: number, panel: Box): Displacement =>
  bowErrorOf((e) => takenUp(fit, e), fit.matrix, bow, panel);

/** @param matrix design -> bed */
export const bowErrorOf = (taken: TakenUp, matrix: Matrix, bow: number, panel: Box): Displacement => {
  const isWide = panel.maxX - panel.minX >= panel.maxY - panel.minY;
  const middle = { x: (panel.minX + panel.maxX) / 2, y: (panel.minY + panel.maxY) / 2 };
  const end = isWide ? { x: panel.maxX, y: middle.y } : { x: middle.x, y: panel.maxY };
  const [from, to] = [apply(matrix, middle), apply(matrix, end)];
  const half = length({ x: to.x - from.x, y: to.y - from.y });
  if (half === 0) return shiftBy(0, 0);
  const along = { x: (to.x - from.x) / half, y: (to.y - from.y) / half };
  const across = { x: -along.y, y: along.x };
  const origin = along.x * from.x + along.y * from.y;
  const moved = (p: Point): Point => {
    const size = bow * (1 - ((along.x * p.x + along.y * p.y - origin) / half) ** 2);
    return { x: across.x * size, y: across.y * size };
  };
  const [a, b, c, d, e, f] = taken(moved);
  const each = { x: (across.x * bow) / half ** 2, y: (across.y * bow) / half ** 2 };
  return {
    matrix: [a, b, c, d, e - bow * across.x, f - bow * across.y],
    bend: { along, origin, each },
  };
};

/** Shifts along one axis are one: their bounds add up. */
const merged = (generators: readonly Displacement[]): Displacement[] => {
  let x = 0;
  let y = 0;
  const others: Displacement[] = [];
  for (const generator of generators) {
    const [a, b, c, d, e, f] = generator.matrix;
    const isShift = generator.bend === undefined && Math.max(...[a, b, c, d].map(Math.abs)) < noTurn;
    if (isShift && Math.abs(f) <= noTurn * Math.abs(e)) x += Math.abs(e);
    else if (isShift && Math.abs(e) <= noTurn * Math.abs(f)) y += Math.abs(f);
    else others.push(generator);
  }
  return [...(x > 0 ? [shiftBy(x, 0)] : []), ...(y > 0 ? [shiftBy(0, y)] : []), ...others];
};

/** mm per mm: less turns nothing on any bed. */
const noTurn = 1e-12;
