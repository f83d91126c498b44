/** What an adjustment takes and gives; see adjust.ts for how. */
import type { Matrix } from '../geometry/affine.js';
import type { Box, Point } from '../geometry/point.js';
import type { Model } from '../job/job.js';
import type { Warning } from '../job/messages.js';
import type { UnknownSide } from '../marks/sides.js';

/** One mark with the mean of its readings. */
export interface Observation {
  readonly mark: string;
  /** Design position, after `face` (mirrored for face down), mm. */
  readonly design: Point;
  /** Single readings in true bed mm; one or more. */
  readonly readings: readonly Point[];
  /**
   * Standard uncertainty of the mean per axis, mm, where it differs from mark to mark in a way the options do
   * not describe. Undefined: formed from the options.
   */
  readonly sd?: Point;
  /** Where it is not known from which side the mark was reached, and that matters. */
  readonly side?: UnknownSide;
  /** Axes on which the display rounds this mark's place as it rounds that of others: see display-step.ts. */
  readonly inStep?: { readonly x: boolean; readonly y: boolean };
}

export interface FitOptions {
  readonly model: Model;
  /** Stated sd of one reading, mm per axis; undefined: none stated. */
  readonly readingSd?: number;
  /** Degrees of freedom behind readingSd; undefined: known. */
  readonly readingSdDof?: number;
  /** sd of a mark's own position, mm per axis; 0: exact. */
  readonly markSd: number;
  /** What the display counts in, mm; absent or 0: finer than matters. */
  readonly displayStep?: number;
  /**
   * Common errors of all that is read: p -> displacement of bed points, mm, that one sd of each causes. They are independent
   * of each other, and are drawn once for the job.
   */
  readonly commonErrors?: readonly Matrix[];
  /**
   * The same of a panel that is not as drawn: design point after `face` -> its displacement in that frame, mm, each as large
   * as the job allows for. They count in the tests of residuals alone.
   */
  readonly panelErrors?: readonly PanelChange[];
  /** The panel after `face`, mm, where it is known. */
  readonly panel?: () => Box;
}

/** A value per bed axis, each absent where it does not exist. */
export interface PerAxis {
  readonly x?: number;
  readonly y?: number;
}

export interface FittedMark {
  readonly mark: string;
  readonly design: Point;
  /** Mean reading, true bed mm. */
  readonly reading: Point;
  readonly readings: number;
  readonly fitted: Point;
  /** reading minus fitted. */
  readonly residual: Point;
  /** Redundancy numbers 0..1 per axis; they sum to the redundancy over all marks. */
  readonly redundancy: Point;
  /**
   * Residual over its own sd: the stated one (normal, or t by its degrees of freedom) or that of repeated readings,
   * never widened; without either the estimated one (A. J. Pope's tau). An axis without redundancy or sd is absent.
   */
  readonly normalized: PerAxis;
  /** Smallest mistake found with power 0.80 at 0.001 (Baarda), mm; an axis where none could be is absent. */
  readonly smallestDetectable: PerAxis;
  /** Change of the model's unknowns for each mm by which the mean reading strays along x, and along y. */
  readonly influence: { readonly x: readonly number[]; readonly y: readonly number[] };
}

export interface FittedTouch {
  /** `touch 3 on outline`. */
  readonly touch: string;
  /** The edge, as the job calls it. */
  readonly on: string;
  /** Mean reading, true bed mm. */
  readonly reading: Point;
  readonly readings: number;
  /** Distance of each of repeated readings from the edge, mm; absent for a single one. */
  readonly across?: readonly number[];
  /** The place of the edge it is taken to be at: design after face, and true bed mm. */
  readonly design: Point;
  readonly foot: Point;
  /** Unit normal of the edge there, on the bed, into the material (of an open line: to its left). */
  readonly normal: Point;
  /** Signed distance of the reading from the edge along `normal`, mm. */
  readonly residual: number;
  /** Redundancy number 0..1. */
  readonly redundancy: number;
  /** Change of the model's unknowns for each mm by which the reading strays across its edge. */
  readonly influence: readonly number[];
  /** As of a mark, absent likewise. */
  readonly normalized?: number;
  readonly smallestDetectable?: number;
}

/** A round edge that is not as large as drawn: its radius was one more unknown, or the job states it. */
export interface FittedRim {
  readonly on: string;
  /** Of the edge that exists, mm in the design frame. */
  readonly radius: number;
  /** Absent when no uncertainty can be claimed, and for a stated radius. */
  readonly sd?: number;
  readonly stated?: true;
  /** Design frame after `face`, mm. */
  readonly centre: Point;
  readonly drawnRadius: number;
  /** What the drawing and the piercing kerf would have made it: mm. */
  readonly expectedRadius: number;
  /** What a drawn edge is moved by to be the existing one, into the material, mm. */
  readonly setBack: number;
  /** 1: material outside the rim; -1: inside. */
  readonly outside: 1 | -1;
}

export interface Fit {
  readonly model: Model;
  /** Design (after face) -> true bed mm. */
  readonly matrix: Matrix;
  /** No fit at all: pieces that are cut where they are drawn (unplaced.ts). Nothing was read, and nothing is uncertain. */
  readonly unplaced?: true;
  /** Those of the model and the unknown radii. */
  readonly unknowns: number;
  /** 2 x marks + touches - unknowns. */
  readonly redundancy: number;
  /** Sum over the marks of the squared residual distance and over the touches of the squared residual, mm^2. */
  readonly sumOfSquares: number;
  /** Root mean square of the same over marks and touches, mm. */
  readonly rms: number;
  readonly sd: {
    readonly stated?: number;
    readonly statedDof?: number;
    /** From the data alone; undefined without redundancy. */
    readonly estimated?: number;
    readonly used?: number;
    /** undefined: known (normal distribution). */
    readonly usedDof?: number;
  };
  /**
   * Residuals against the stated sd, or against the scatter of repeated readings where none is stated. Undefined
   * without redundancy or without either.
   */
  readonly consistency?: {
    readonly chiSquare: number;
    readonly pValue: number;
    readonly consistent: boolean;
  };
  /** Where the residuals reject the stated sd at 1 in 1,000: the change of the panel that explains them, if one does. */
  readonly leftOver?: LeftOver;
  readonly marks: readonly FittedMark[];
  /** Absent: none. */
  readonly touches?: readonly FittedTouch[];
  /** Those with an unknown radius first, in the order of `rimCovariance`. */
  readonly rims?: readonly FittedRim[];
  /**
   * Covariance of the model's unknowns and, after them, of the unknown radii, scaled as `covariance`: that is its upper left
   * part. Only where a radius is unknown and an uncertainty can be claimed.
   */
  readonly rimCovariance?: readonly (readonly number[])[];
  /** sd of one reading that the sds of marks and touches were formed with; only where there are touches. */
  readonly referenceSd?: number;
  /**
   * Covariance of the model's unknowns (unknown radii integrated out), already scaled by sd.used (and by any widening); undefined
   * when no uncertainty can be claimed. The unknowns are small changes about the solution, in the order of
   * `positionJacobian`.
   */
  readonly covariance?: readonly (readonly number[])[];
  /** The design point the unknowns turn and scale about. */
  readonly centre: Point;
}

export interface FitFailure {
  /** What stands in the way, a sentence. */
  readonly reason: string;
  /** What to do about it, a sentence. */
  readonly cure: string;
}

export type FitOutcome =
  | {
      readonly ok: true;
      readonly fit: Fit;
      /** Other ways to lie that touches fit as well, where a stated start or face had to decide. */
      readonly ambiguous?: readonly Warning[];
    }
  | { readonly ok: false; readonly failure: FitFailure };

/** Displacement of a design point after `face`, in that frame. */
export type PanelChange = (design: Point) => Point;

export interface LeftOver {
  readonly cause: 'size-change' | 'bow' | 'shape' | 'turn';
  /** Of each unknown what one of it does; what is found of it, and the covariance of that. */
  readonly changes: readonly PanelChange[];
  readonly amounts: readonly number[];
  readonly covariance: readonly (readonly number[])[];
  /** Of the residuals that are left then: chance, and the factor on the variances that they ask for. */
  readonly pValue: number;
  readonly factor: number;
  /** Degrees of freedom of the sd then; undefined: known. */
  readonly degrees?: number;
}
