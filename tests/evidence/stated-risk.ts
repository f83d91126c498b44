/** Does it touch as often as stated? With a known sd a stated risk is a frequency. */
import { adjust } from '../../src/fit/adjust.js';
import { compose, translation } from '../../src/geometry/affine.js';
import { createRandom } from '../../src/numeric/random.js';
import { checkFit } from '../../src/verdict/check.js';
import { placedRings, prepareTouch, touches } from './exact-touch.js';
import { models, randomLayout, simulatedReadings, unknowns } from './simulated-job.js';

export interface Tenth {
  readonly from: number;
  jobs: number;
  stated: number;
  touched: number;
  /** Sum of p (1 - p). */
  variance: number;
}

export interface StatedRiskResult {
  readonly jobs: number;
  /** Without the widened jobs, and with them. */
  readonly tenths: readonly Tenth[];
  readonly allTenths: readonly Tenth[];
  /** Jobs called `fits`, their mean stated risk and how many of them touched. */
  readonly fits: { jobs: number; touched: number };
  readonly doesNotFit: { jobs: number; touched: number };
  /**
   * Jobs whose residuals the known sd did not explain (one in forty by chance): there the residuals set the scale and
   * no frequency is promised. They count among `fits`, `doesNotFit` and `allTenths`, not in `tenths`.
   */
  readonly widened: { jobs: number; touched: number; stated: number };
}

const acceptedRisk = 0.05;

const tenTenths = (): Tenth[] =>
  Array.from({ length: 10 }, (_, i) => ({ from: i / 10, jobs: 0, stated: 0, touched: 0, variance: 0 }));

const count = (tenths: readonly Tenth[], risk: number, touched: boolean): void => {
  const tenth = tenths[Math.min(9, Math.floor(10 * risk))]!;
  tenth.jobs++;
  tenth.stated += risk;
  tenth.touched += touched ? 1 : 0;
  tenth.variance += risk * (1 - risk);
};

/** `perCell` jobs for each of the models and 2, 3, 4 and 6 marks, where they can be solved. */
export const studyStatedRisk = (perCell: number, seed: string): StatedRiskResult => {
  const random = createRandom(seed);
  const tenths = tenTenths();
  const allTenths = tenTenths();
  const fits = { jobs: 0, touched: 0 };
  const doesNotFit = { jobs: 0, touched: 0 };
  const widened = { jobs: 0, touched: 0, stated: 0 };
  let jobs = 0;
  for (const model of models) {
    for (const markCount of [2, 3, 4, 6]) {
      if (2 * markCount < unknowns[model]) continue;
      for (let i = 0; i < perCell; i++) {
        const layout = randomLayout(random, model, markCount);
        const reading = 0.1 * (0.4 + 1.2 * random.uniform());
        const mark = random.uniform() < 0.5 ? 0 : 0.4 * reading;
        const repeats = layout.marks.map(() => 1 + random.index(2));
        const observations = simulatedReadings(random, layout, { reading, mark }, repeats);
        const options = { model, readingSd: reading, markSd: mark };
        const outcome = adjust(observations, options);
        if (!outcome.ok) throw new Error(outcome.failure.reason);
        const { fit } = outcome;
        const cutSd = random.uniform() < 0.5 ? 0 : 0.5 * reading * random.uniform();
        const kerfSd = random.uniform() < 0.5 ? 0 : reading * random.uniform();
        const job = {
          fit,
          observations,
          options,
          openings: layout.openings,
          face: 'up',
          pierced: { kerf: 0, compensated: true },
          check: { acceptedRisk, cutSd, kerfSd },
          draws: 1024,
        } as const;
        // A clearance that knows nothing of this job's errors: a share of the predicted error at the worst opening.
        const sharp = { ...layout.cut, clearance: 1, kerf: 0, apply: 'full' } as const;
        const first = checkFit({ ...job, cut: sharp, draws: 64 });
        const error = Math.max(...first.openings.map((o) => o.predictedError!));
        const clearance = error * (0.3 + 3 * random.uniform());
        // A beam thinner than twice the clearance, or wider, which then does not reach into corners.
        const beam = random.uniform() < 0.3 ? 0 : clearance * 1.3 * random.uniform();
        const check = checkFit({ ...job, cut: { ...sharp, clearance, kerf: 2 * beam } });

        const machine = translation(cutSd * random.normal(), cutSd * random.normal());
        // The path is what was asked for; the beam is thicker or thinner than it was thought.
        const thicker = (kerfSd / 2) * random.normal();
        const reach = clearance + thicker;
        const newEdge = { ...layout.cut, beam: Math.max(0, beam + thicker) };
        const touched = layout.rings.some((rings) => {
          const existing = placedRings(layout.truth, rings);
          const estimated = placedRings(compose(machine, fit.matrix), rings);
          return reach <= 0 || touches(prepareTouch(existing, estimated, newEdge), reach);
        });
        const risk = check.risk!;
        count(allTenths, risk, touched);
        if (fit.sd.usedDof === undefined) count(tenths, risk, touched);
        else {
          widened.jobs++;
          widened.stated += risk;
          widened.touched += touched ? 1 : 0;
        }
        const called =
          check.verdict === 'fits' ? fits : check.verdict === 'does-not-fit' ? doesNotFit : undefined;
        if (called !== undefined) {
          called.jobs++;
          called.touched += touched ? 1 : 0;
        }
        jobs++;
      }
    }
  }
  return { jobs, tenths, allTenths, fits, doesNotFit, widened };
};
