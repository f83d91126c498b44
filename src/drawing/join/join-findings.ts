/** What joining is asked for, and what it finds. */
import type { Point } from '../../geometry/point.js';
import type { KindOf } from './numbered-kinds.js';

export interface JoinOptions {
  /** Ends at most so far apart are joined, mm; 0: only ends in the same place. */
  readonly distance: number;
  /**
   * Lines are joined first with lines of the same kind, and left out over them; shapes without a
   * kind (marks) are left as they are.
   */
  readonly kindOf: KindOf;
  /**
   * What is still open then, and what lies on each other, is looked at once more by this, which
   * tells fewer kinds apart (kinds may differ in colour or layer and have one role). Absent: it is
   * not.
   */
  readonly widerKindOf?: KindOf;
  /**
   * Lines of several kinds are left out over each other, but are not made into outlines: they are
   * cut as they are drawn.
   */
  readonly widerCopiesOnly?: boolean;
}

/** What joining did. */
export interface JoinReport {
  /** mm. */
  readonly distance: number;
  /** Closed paths made of open ones, and the open paths they were made of. */
  readonly outlines: number;
  readonly lines: number;
  /** Open paths joined to longer ones that still do not close. */
  readonly openChains: number;
  /** Between ends that were joined, mm; undefined where nothing was. */
  readonly largestGap?: number;
  /** Paths left out, in whole or in part, over others. */
  readonly duplicates: number;
}

export interface Findings {
  readonly report: JoinReport;
  /** Some of the lines left out, and the shapes they lie on. */
  readonly duplicateIds: readonly { readonly id: string; readonly on: string }[];
  readonly knots: readonly Point[];
  readonly complete: boolean;
}
