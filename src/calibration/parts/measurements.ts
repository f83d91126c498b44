/** What is measured: one row of each table. */

import type { Point } from '../../geometry/point.js';
import type { Where } from '../../job/messages.js';
import type { ReadGroup } from './habit.js';

/** mm throughout; `sd` is that of one measurement with the caliper or rule. */
export type KerfMeasurement = {
  readonly sd?: number;
  /** Rows of the same name measure the same cut once more; absent: a cut of its own. */
  readonly cut?: string;
  readonly where: Where;
} & (
  | {
      readonly kind: 'strips' | 'gap';
      readonly count: number;
      readonly drawn: number;
      readonly measured: number;
    }
  | { readonly kind: 'pair'; readonly hole: number; readonly piece: number }
);

/** From which side an axis came to rest: with growing figures of the display, or with falling ones. */
export interface Sides {
  readonly x: 'up' | 'down';
  readonly y: 'up' | 'down';
}

export interface BurntDot {
  readonly name: string;
  /** Display coordinates sent to the machine, mm. */
  readonly commanded: Point;
  /** Display coordinates read over the dot, mm; one or more. */
  readonly readings: readonly Point[];
  /** Of each reading; undefined where nobody says. */
  readonly directions?: readonly (Sides | undefined)[];
  /** A small closed figure that was travelled, or a single pulse and from which side the beam came. */
  readonly burnt?: 'figure' | Sides;
  readonly where: Where;
}

/** `up`: both figures of the display were growing on arrival; `down`: both were falling. */
export type Direction = 'up' | 'down';

export interface PointerReading {
  readonly mark: string;
  /** Display coordinates, mm. */
  readonly at: Point;
  readonly direction?: Direction;
  /** Who read; undefined: nobody says. */
  readonly who?: string;
  readonly where: Where;
}

export interface Group extends ReadGroup {
  readonly mark: string;
  readonly direction?: Direction;
  readonly readings: readonly PointerReading[];
}
