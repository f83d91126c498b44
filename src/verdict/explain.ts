/** Why the verdict is what it is, for someone who never heard of a covariance. */
import type { Fit } from '../fit/fit.js';
import { mm } from '../fit/words.js';
import type { Matrix } from '../geometry/affine.js';
import { withKnownSd } from './advice/further-readings.js';
import type { Verdict } from './decide.js';
import type { Edge } from './edges/edge.js';
import type { EdgeIndex } from './edges/edge-index.js';
import type { CutUncertainty } from './risk/error-field.js';
import { errorField } from './risk/error-field.js';
import { type JobRisk, neededForJob } from './risk/risk.js';
import type { Bounded } from './risk/vertices.js';

/** What a sentence calls the length that has to be large enough. */
export const neededName = (asDrawn: boolean): string => (asDrawn ? 'allowed deviation' : 'clearance');

export interface ExplainInput {
  readonly verdict: Verdict;
  readonly fit: Fit;
  readonly edges: readonly Edge[];
  readonly risk?: JobRisk;
  readonly clearance: number;
  readonly acceptedRisk: number;
  /** Least room left anywhere by the best estimate, mm. */
  readonly margin: number;
  /** The opening, or line, where that is. */
  readonly tightest: string;
  /** The worst verdict that any opening has alone. */
  readonly alone: Verdict;
  /** Present where the cutter cannot apply the whole fit. */
  readonly systematic?: Matrix;
  readonly bounded?: Bounded;
  readonly indexes?: readonly EdgeIndex[];
  readonly uncertainty: CutUncertainty;
  /** Lines are cut again as drawn: the clearance is the deviation that is allowed. */
  readonly asDrawn: boolean;
}

/** Student-t with this few degrees of freedom needs clearances well beyond those of a known sd. */
const fewDegrees = 5;

export const explain = (input: ExplainInput): string => {
  const { verdict, risk, clearance, margin, tightest, systematic, acceptedRisk, asDrawn } = input;
  if (clearance === 0) return 'The clearance is 0: the new edge lies on the existing one.';
  if (margin <= 0 && asDrawn) {
    return `Even without any error the new line lies ${mm(clearance - margin)} off at ${tightest}, because the cutter does not apply the whole fit; ${mm(clearance)} is allowed.`;
  }
  if (margin <= 0) {
    const why =
      systematic === undefined
        ? 'because the beam is too thick for the corners, tips or necks there'
        : 'because the cutter does not apply the whole fit';
    return `Even without any error the new edge comes ${mm(clearance - margin)} too close at ${tightest}, ${why}; the clearance is ${mm(clearance)}.`;
  }
  if (risk === undefined) return `${whyUnclaimed(input.fit)} So nothing can be promised.`;
  const event = asDrawn
    ? `The new line lies more than ${mm(clearance)} off somewhere`
    : 'The new edge touches an existing edge somewhere';
  const chance = `${event} in ${share(risk.risk)}`;
  const accepted = Number((100 * acceptedRisk).toPrecision(3));
  return verdict === 'fits'
    ? `${chance}; ${accepted} of 100 are accepted.`
    : `${chance}; only ${accepted} of 100 are accepted.${together(input)}`;
};

/** From the best to the worst. */
export const verdictOrder: readonly Verdict[] = ['fits', 'too-close', 'does-not-fit'];

/** Many openings of small risk each: the table then shows none that is as bad as the job. */
const together = ({ verdict, alone, edges, asDrawn }: ExplainInput): string => {
  if (verdictOrder.indexOf(verdict) <= verdictOrder.indexOf(alone)) return '';
  const one = asDrawn ? 'line' : 'opening';
  const so = alone === 'fits' ? `Each ${one} alone would fit` : `No ${one} alone is as bad as that`;
  return ` ${so}; the job counts ${edges.length === 2 ? 'both' : `all ${edges.length}`} of them together.`;
};

/** `12 of 100 such jobs`. */
const share = (risk: number): string => {
  const percent = 100 * risk;
  if (percent < 0.01) return 'fewer than 1 of 10,000 such jobs';
  if (percent > 99.5) return 'practically every such job';
  const digits = percent < 1 ? percent.toPrecision(1) : percent.toFixed(percent < 10 ? 1 : 0);
  return `${Number(digits)} of 100 such jobs`;
};

/** Why no risk can be told, in a sentence. */
export const whyUnclaimed = (fit: Fit): string => {
  const unstated = 'How well a reading is known is not stated';
  return fit.redundancy === 0
    ? `${unstated}, and without redundancy the readings cannot tell it.`
    : `${unstated}, and the readings agree to the last digit, which says less than it seems.`;
};

/**
 * What would be needed if the sd were known, mm. Two marks alone, with the sd taken from them, are nearly worthless.
 * Undefined where the sd is stated, or estimated well enough to cost less than a quarter.
 */
export const neededWithKnownSd = ({
  fit,
  risk,
  edges,
  indexes,
  acceptedRisk,
  uncertainty,
  systematic,
  bounded,
}: Omit<ExplainInput, 'verdict' | 'tightest' | 'alone'>): number | undefined => {
  const { usedDof } = fit.sd;
  if (usedDof === undefined || usedDof > fewDegrees || risk === undefined) return undefined;
  const known = neededForJob({
    edges,
    field: errorField(withKnownSd(fit), uncertainty)!,
    acceptedRisk,
    draws: 1024,
    ...(systematic === undefined ? {} : { systematic }),
    ...(bounded === undefined ? {} : { bounded }),
    ...(indexes === undefined ? {} : { indexes }),
  });
  return risk.neededClearance > 1.25 * known ? known : undefined;
};
