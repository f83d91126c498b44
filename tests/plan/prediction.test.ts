import { describe, expect, it } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import type { Observation } from '../../src/fit/fit.js';
import { apply, compose, rotation, translation } from '../../src/geometry/affine.js';
import { createRandom, type RandomSource } from '../../src/numeric/random.js';
import { type Plan, planMarks } from '../../src/plan/plan.js';
import { placedEdges } from '../../src/verdict/edges/edge.js';
import { errorField } from '../../src/verdict/risk/error-field.js';
import { neededForJob } from '../../src/verdict/risk/risk.js';
import { planInput, randomOpenings } from './panels.js';

const truth = compose(translation(310, 95), rotation(0.4));
const sds = { reading: 0.1, mark: 0.05 };

const readingsOf = (plan: Plan, random: RandomSource): Observation[] =>
  plan.chosen.places.map(({ name, at }) => {
    const on = apply(truth, at);
    const error = () => sds.mark * random.normal() + sds.reading * random.normal();
    return { mark: name, design: at, readings: [{ x: on.x + error(), y: on.y + error() }] };
  });

describe('The predicted needed clearance is what the verdict finds when readings with that sd are taken', () => {
  // Where the readings have their say the figure varies from job to job: its root mean square is what is predicted.
  it.each([
    ['a known sd', 'reading-sd: 0.1, mark-sd: 0.05', 3, 30],
    ['a sd with 10 degrees of freedom', 'reading-sd: 0.1, reading-sd-dof: 10, mark-sd: 0.05', 3, 150],
    ['no stated sd, three marks', 'mark-sd: 0.05', 3, 500],
    ['no stated sd, four marks', 'mark-sd: 0.05', 4, 400],
  ] as const)('%s', (_what, fit, marks, trials) => {
    const openings = randomOpenings(createRandom('prediction'), 5);
    const input = planInput({
      openings,
      job: `fit: {${fit}}\ncheck: {cut-sd: 0.02, kerf-sd: 0.02}\nplan: {marks: ${marks}}`,
    });
    const { job } = input;
    const plan = planMarks(input);
    const tools = { beam: job.cut.kerf / 2, piercing: 0, clearance: job.cut.clearance };
    const random = createRandom(`readings ${fit}`);
    let squares = 0;
    let count = 0;
    for (let n = 0; n < trials; n++) {
      const outcome = adjust(readingsOf(plan, random), job.fit);
      if (!outcome.ok) throw new Error(outcome.failure.reason);
      // One job in forty contradicts its stated sd, is widened, and says so.
      if (outcome.fit.consistency?.consistent === false) continue;
      const edges = placedEdges(openings, outcome.fit.matrix, {
        ...job.cut,
        kind: 'opening',
        pierced: 0,
        tools,
      });
      const { acceptedRisk } = job.check;
      const field = errorField(outcome.fit, job.check)!;
      squares += neededForJob({ edges, field, acceptedRisk, draws: trials > 100 ? 256 : 2048 }) ** 2;
      count += 1;
    }
    const found = Math.sqrt(squares / count);
    expect(count).toBeGreaterThan(0.9 * trials);
    expect(found / plan.chosen.jobNeededClearance!).toBeGreaterThan(0.95);
    expect(found / plan.chosen.jobNeededClearance!).toBeLessThan(1.05);
  });
});
