/**
 * The verdict on pieces that are cut from a board of their own. How the panel lies, how the cutter places this cut and how
 * square its bed is moves a whole piece, and moves nothing against its opening: that is for the hand that puts it in. What
 * counts is the play all round, which is the clearance but for half the error of the kerf and that of the drawn edges.
 */

import type { Fit } from '../fit/fit.js';
import { apply } from '../geometry/affine.js';
import type { Advice } from './advice/advice.js';
import type { Check, OpeningCheck } from './check-result.js';
import { decide } from './decide.js';
import type { Edge } from './edges/edge.js';
import { leastMargin } from './edges/worst-point.js';
import type { ErrorField } from './risk/error-field.js';
import { assessRisk, type JobRisk } from './risk/risk.js';

export interface UnplacedInput {
  readonly fit: Pick<Fit, 'matrix' | 'centre'>;
  readonly edges: readonly Edge[];
  /** The play all round, mm. */
  readonly clearance: number;
  readonly acceptedRisk: number;
  /** Of the kerf's full width, mm; 0: not stated. */
  readonly kerfSd: number;
  /** Of what the error of the drawn edges takes beyond their loss, mm (risk/edge-error.ts); 0: they are the piece's. */
  readonly drawnSd: number;
  readonly draws?: number;
}

const hundredths = (value: number): string => `${value.toFixed(2)} mm`;

export const checkUnplaced = (input: UnplacedInput): Check => {
  const { edges, clearance, acceptedRisk, kerfSd, draws } = input;
  const risk =
    kerfSd > 0
      ? assessRisk({
          edges,
          field: alongNormals(input),
          clearance,
          acceptedRisk,
          ...(draws === undefined ? {} : { draws }),
        })
      : undefined;
  const margins = edges.map((edge) => leastMargin(edge, clearance, undefined));
  const verdict = decide(risk?.risk, acceptedRisk, Math.min(...margins) <= 0);
  return {
    verdict,
    ...(risk === undefined
      ? { riskUnknown: 'The sd of the kerf is not stated, and nothing else decides how a piece goes in.' }
      : { risk: risk.risk, neededClearance: risk.neededClearance }),
    acceptedRisk,
    clearance,
    openings: edges.map((edge, i) => openingCheck(edge, margins[i]!, risk, i, acceptedRisk)),
    explanation: explanation(input, risk),
    advice: verdict === 'fits' ? [] : advice(input, risk),
    reliability: [],
    extrapolation: [],
    witness: [],
    warnings: [],
  };
};

const alongNormals = ({ fit, kerfSd, drawnSd }: UnplacedInput): ErrorField => ({
  centre: apply(fit.matrix, fit.centre),
  levers: [],
  covariance: [
    [0, 0],
    [0, 0],
  ],
  cutSd: 0,
  halfKerfSd: Math.hypot(kerfSd / 2, drawnSd),
});

const openingCheck = (
  { id }: Edge,
  least: number,
  risk: JobRisk | undefined,
  i: number,
  acceptedRisk: number,
): OpeningCheck => {
  const own = risk?.openings[i];
  return {
    id,
    verdict: decide(own?.risk, acceptedRisk, least <= 0),
    margin: own?.worst?.margin ?? least,
    ...(own === undefined ? {} : { risk: own.risk, neededClearance: own.neededClearance }),
    ...(own?.worst === undefined
      ? {}
      : { worstPoint: own.worst.at, predictedError: own.worst.predictedError }),
  };
};

const explanation = ({ clearance, kerfSd, drawnSd }: UnplacedInput, risk: JobRisk | undefined): string => {
  const own = 'The pieces come from a board of their own, so how the panel lies does not matter';
  if (risk === undefined) return `${own}; how well the kerf is known does, and that is not stated.`;
  const edges = drawnSd > 0 ? ' and the error of the drawn edges' : '';
  return `${own}: of the play of ${hundredths(clearance)} all round, the kerf, known with an sd of ${hundredths(kerfSd)},${edges} may take ${hundredths(risk.neededClearance)}.`;
};

const advice = (_: UnplacedInput, risk: JobRisk | undefined): Advice[] => {
  if (risk === undefined) {
    return [
      {
        kind: 'state-sd',
        message:
          'State how well the kerf is known, check: {kerf-sd: ...}; reseat calibrate kerf measures it.',
      },
    ];
  }
  // Up, so that what is advised does fit.
  const enough = Math.ceil(100 * risk.neededClearance) / 100;
  return [
    {
      kind: 'larger-clearance',
      message: `Allow a clearance of ${hundredths(enough)}: as much as the kerf may take.`,
      neededClearance: enough,
    },
  ];
};
