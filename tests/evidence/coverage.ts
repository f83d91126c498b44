/**
 * Does the needed clearance cover? With an estimated or a pooled sd theory promises no frequency given the stated
 * risk, but that at accepted risk p the needed clearance is enough in 1 - p of the jobs.
 */

import { adjust } from '../../src/fit/adjust.js';
import type { Fit, FitOptions, Observation } from '../../src/fit/fit.js';
import type { Model } from '../../src/job/job.js';
import { createRandom, type RandomSource } from '../../src/numeric/random.js';
import { checkFit } from '../../src/verdict/check.js';
import { contradiction } from '../../src/verdict/risk/common-errors.js';
import { placedRings, prepareTouch, type Touch, touches } from './exact-touch.js';
import { type Layout, models, randomLayout, simulatedReadings, unknowns } from './simulated-job.js';

export const sdKinds = ['known', 'estimated', 'pooled'] as const;
export type SdKind = (typeof sdKinds)[number];
export const acceptedRisks = [0.05, 0.2] as const;

export interface CoverageCell {
  readonly model: Model;
  readonly marks: number;
  readonly sd: SdKind;
  readonly acceptedRisk: number;
  jobs: number;
  covered: number;
}

const trueSd = 0.1;
const pooledDof = 9;

/**
 * `layouts` for each number of marks and model with redundancy, `perLayout` jobs on each. For one layout the needed
 * clearance is proportional to the sd used and otherwise depends on its degrees of freedom alone, so it is asked for
 * once per layout and degrees; every hundredth job is asked for itself, and `largestDeviation` is how far it was off.
 */
export const studyCoverage = (
  layouts: number,
  perLayout: number,
  seed: string,
): { cells: CoverageCell[]; largestDeviation: number } => {
  const random = createRandom(seed);
  const cells: CoverageCell[] = [];
  let largestDeviation = 0;
  let asked = 0;
  for (const model of models) {
    for (const marks of [2, 3, 4, 6]) {
      if (2 * marks <= unknowns[model]) continue;
      const here = sdKinds.flatMap((sd) =>
        acceptedRisks.map(
          (acceptedRisk): CoverageCell => ({ model, marks, sd, acceptedRisk, jobs: 0, covered: 0 }),
        ),
      );
      cells.push(...here);
      for (let l = 0; l < layouts; l++) {
        const layout = randomLayout(random, model, marks);
        const perUnit = new Map<string, number>();
        for (let i = 0; i < perLayout; i++) {
          const observations = simulatedReadings(random, layout, { reading: trueSd, mark: 0 });
          let touch: Touch[] | undefined;
          for (const sd of sdKinds) {
            const options = statedAs(sd, model, random);
            const outcome = adjust(observations, options);
            if (!outcome.ok) throw new Error(outcome.failure.reason);
            const { fit } = outcome;
            // All three kinds place the part alike: equal sds, equal weights.
            touch ??= layout.rings.map((rings) =>
              prepareTouch(placedRings(layout.truth, rings), placedRings(fit.matrix, rings), layout.cut),
            );
            for (const cell of here) {
              if (cell.sd !== sd) continue;
              const key = `${cell.acceptedRisk} ${fit.sd.usedDof ?? 'known'}`;
              const itsOwn = (): number =>
                needed(layout, fit, observations, options, cell.acceptedRisk) / fit.sd.used!;
              // What contradicts the stated sd counts as a common error besides: such a job is no pattern for others.
              const contradicts = contradiction(fit) !== undefined;
              let unit = contradicts ? itsOwn() : perUnit.get(key);
              const isAsked = asked++ % 100 === 0 && !contradicts;
              if (unit === undefined || isAsked) {
                const itself = itsOwn();
                if (unit !== undefined)
                  largestDeviation = Math.max(largestDeviation, Math.abs(itself / unit - 1));
                else unit = itself;
                perUnit.set(key, unit);
              }
              const clearance = unit * fit.sd.used!;
              cell.jobs++;
              if (!touch.some((t) => touches(t, clearance))) cell.covered++;
            }
          }
        }
      }
    }
  }
  return { cells, largestDeviation };
};

const statedAs = (sd: SdKind, model: Model, random: RandomSource): FitOptions => {
  if (sd === 'known') return { model, readingSd: trueSd, markSd: 0 };
  if (sd === 'estimated') return { model, markSd: 0 };
  // A calibration with nine degrees of freedom that erred in its own way.
  const readingSd = trueSd * Math.sqrt(random.chiSquare(pooledDof) / pooledDof);
  return { model, readingSd, readingSdDof: pooledDof, markSd: 0 };
};

const needed = (
  layout: Layout,
  fit: Fit,
  observations: readonly Observation[],
  options: FitOptions,
  acceptedRisk: number,
): number =>
  checkFit({
    fit,
    observations,
    options,
    openings: layout.openings,
    face: 'up',
    pierced: { kerf: 0, compensated: true },
    cut: { ...layout.cut, clearance: 1000, kerf: 0, apply: 'full' },
    check: { acceptedRisk, cutSd: 0, kerfSd: 0 },
    draws: 2048,
  }).neededClearance!;
