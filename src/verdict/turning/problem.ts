/** What is left to be solved: few rows, and the vertices that are tried. */
import type { Bounds, Choice } from './choices.js';
import type { Row } from './rows.js';

export interface Problem extends Bounds {
  readonly rows: readonly Row[];
  readonly choices: readonly Choice[];
  readonly acceptedRisk: number;
  /** The figure takes of the room in the cut as well. */
  readonly inCut: boolean;
}
