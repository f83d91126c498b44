/**
 * What explains residuals that the stated sd does not: a panel that has changed its size, is bowed, or has changed its shape,
 * each fitted to the residuals with one unknown or a few. What nothing explains is left to the verdict, as an error of
 * unknown kind.
 *
 * As the fit leaves them, the residuals over their sds are  B a + noise,  B one column for each unknown; so
 * a = (B'B)^-1 B' rho, of covariance (B'B)^-1, and independent of the fit's own unknowns.
 */

import type { Box } from '../../geometry/point.js';
import { chiSquareCdf, fCdf } from '../../numeric/distributions.js';
import type { Fit, LeftOver, PanelChange } from '../fit.js';
import { bowedBy, grownBy } from '../solve/panel-change.js';
import { consistencyLevel } from '../solve/uncertainty.js';
import { mm } from '../words.js';

export interface LeftOverInput {
  /** Residuals over their sds. */
  readonly rho: readonly number[];
  readonly redundancy: number;
  /** Of the stated sd; undefined: known. */
  readonly degrees?: number;
  /** An error of the panel in each row over its sd, as the fit leaves it. */
  readonly leftBy: (change: PanelChange) => readonly number[];
  /** A mistake at one place: its rows, as the fit leaves them. */
  readonly mistakes: readonly (readonly (readonly number[])[])[];
  readonly canTurn: boolean;
  readonly panel?: Box;
}

/** Residuals that the stated sd explains less often than this are not noise. */
export const contradictionLevel = 0.001;

/** No panel changes by more, as a share of its length: marks are taken for each other. Common practice, no source. */
const largestChange = 0.02;

const lengthOf = ({ minX, minY, maxX, maxY }: Box): number => Math.max(maxX - minX, maxY - minY);

/** Undefined where no change of the panel explains them, or a mistake at a single place explains them as well. */
export const explainLeftOver = (input: LeftOverInput): LeftOver | undefined => {
  const { rho, redundancy, leftBy, mistakes, canTurn, panel } = input;
  const stretched: PanelChange = ({ x, y }) => ({ x, y: -y });
  const sheared: PanelChange = ({ x, y }) => ({ x: y, y: x });
  const turned: PanelChange = ({ x, y }) => ({ x: -y, y: x });
  const kinds: readonly (readonly [LeftOver['cause'], readonly PanelChange[]])[] = [
    ...(canTurn ? [] : ([['turn', [turned]]] as const)),
    ['size-change', [grownBy(1)]],
    ...(panel === undefined ? [] : ([['bow', [bowedBy(1, panel)]]] as const)),
    ['shape', [grownBy(1), stretched, sheared]],
  ];
  const isMistake = mistakes.some((columns) => {
    const found = solved(columns, rho, redundancy, input.degrees);
    return found !== undefined && found.pValue >= consistencyLevel;
  });
  if (isMistake) return undefined;
  let best: LeftOver | undefined;
  for (const [cause, changes] of kinds) {
    // More unknowns only where fewer explain nothing.
    if (best !== undefined && changes.length > best.changes.length) break;
    const visible = changes.flatMap((change) => {
      const column = leftBy(change);
      return dot(column, column) > seen ? [{ change, column }] : [];
    });
    const columns = visible.map(({ column }) => column);
    const found = columns.length === 0 ? undefined : solved(columns, rho, redundancy, input.degrees);
    if (found === undefined || found.pValue < consistencyLevel) continue;
    const most = cause === 'bow' ? largestChange * lengthOf(panel!) : largestChange;
    if (found.amounts.some((amount) => Math.abs(amount) > most)) continue;
    if (best === undefined || found.pValue > best.pValue)
      best = { cause, changes: visible.map(({ change }) => change), ...found };
  }
  return best;
};

/** So many sds of what the residuals tell of a change count as possible beyond what is found. */
export const possibleSds = 2;

/** `a panel bowed by 0.31 mm in its middle`. */
export const leftOverWords = ({ cause, amounts }: LeftOver): string => {
  const [amount = 0] = amounts;
  switch (cause) {
    case 'bow':
      return `a panel bowed by ${mm(Math.abs(amount))} in its middle`;
    case 'size-change':
      return `a panel ${amount > 0 ? 'longer' : 'shorter'} by ${(1000 * Math.abs(amount)).toFixed(2)} mm in a metre`;
    case 'shape':
      return 'a panel, or a bed, that has changed its shape';
    case 'turn':
      return 'a part that lies turned';
  }
};

/**
 * The fit with the uncertainty that is left once its change of the panel is counted by itself: the stated sd, not the
 * residuals that the change explains.
 */
export const lessLeftOver = (fit: Fit): Fit => {
  const { leftOver, consistency, covariance, rimCovariance, redundancy, sd } = fit;
  if (leftOver === undefined || consistency === undefined || covariance === undefined) return fit;
  const ratio = (leftOver.factor * redundancy) / consistency.chiSquare;
  const scaled = (rows: readonly (readonly number[])[]): number[][] =>
    rows.map((row) => row.map((value) => ratio * value));
  const { usedDof: _, ...others } = sd;
  const { degrees } = leftOver;
  return {
    ...fit,
    sd: {
      ...others,
      ...(sd.used === undefined ? {} : { used: sd.used * Math.sqrt(ratio) }),
      ...(degrees === undefined ? {} : { usedDof: degrees }),
    },
    covariance: scaled(covariance),
    ...(rimCovariance === undefined ? {} : { rimCovariance: scaled(rimCovariance) }),
  };
};

type Solved = Omit<LeftOver, 'cause' | 'changes'>;

const dot = (a: readonly number[], b: readonly number[]): number =>
  a.reduce((sum, value, i) => sum + value * b[i]!, 0);

/** A column of less than this is one that the fit takes up whole. */
const seen = 1e-6;

const solved = (
  columns: readonly (readonly number[])[],
  rho: readonly number[],
  redundancy: number,
  degrees: number | undefined,
): Solved | undefined => {
  const rest = redundancy - columns.length;
  if (rest < 1) return undefined;
  const covariance = inverse(columns.map((a) => columns.map((b) => dot(a, b))));
  if (covariance === undefined) return undefined;
  const products = columns.map((column) => dot(column, rho));
  const amounts = covariance.map((row) => dot(row, products));
  const squares = Math.max(0, dot(rho, rho) - dot(amounts, products));
  const pValue =
    1 - (degrees === undefined ? chiSquareCdf(squares, rest) : fCdf(squares / rest, rest, degrees));
  const factor = degrees === undefined ? 1 : (degrees + squares) / (degrees + rest);
  return {
    amounts,
    covariance,
    pValue: Math.max(0, pValue),
    factor,
    ...(degrees === undefined ? {} : { degrees: degrees + rest }),
  };
};

/** Of a small positive definite matrix, by elimination; undefined where it hardly is one. */
const inverse = (matrix: readonly (readonly number[])[]): number[][] | undefined => {
  const size = matrix.length;
  const rows = matrix.map((row, i) => [...row, ...row.map((_, k) => (k === i ? 1 : 0))]);
  for (let k = 0; k < size; k++) {
    const pivot = rows[k]![k]!;
    if (!(pivot > 1e-9 * matrix[k]![k]!)) return undefined;
    rows[k] = rows[k]!.map((value) => value / pivot);
    for (let i = 0; i < size; i++) {
      if (i === k) continue;
      const share = rows[i]![k]!;
      rows[i] = rows[i]!.map((value, j) => value - share * rows[k]![j]!);
    }
  }
  return rows.map((row) => row.slice(size));
};
