import { describe, expect, it } from 'vitest';
import { createRandom } from '../../src/numeric/random.js';
import { comparisonOf } from '../../src/plan/judge/comparison.js';
import { judgedEdges } from '../../src/plan/judge/judged-edges.js';
import type { Place } from '../../src/plan/places/place.js';
import { neededWith, panelBox, planInput, randomOpenings } from './panels.js';

describe('What the search takes an opening to need is what the verdict finds it needs', () => {
  it.each([
    ['rigid', ''],
    ['rigid', 'cut: {kerf: 0.2, clearance: 0.6}\ncheck: {cut-sd: 0.04, kerf-sd: 0.03}'],
    ['similarity', ''],
    ['affine', 'check: {cut-sd: 0.05}'],
    ['shift', ''],
  ] as const)('%s %s', (model, more) => {
    const random = createRandom(`row needs ${model} ${more}`);
    const openings = randomOpenings(random, 9);
    const { job } = planInput({ openings, job: `fit: {reading-sd: 0.1, model: ${model}}\n${more}` });
    const places = [20, 580].flatMap((x) =>
      [30, 370].map((y): Place => ({ kind: 'land', at: { x: x + 9 * random.uniform(), y } })),
    );
    const comparison = comparisonOf({
      edges: judgedEdges(job, openings, panelBox).edges,
      frame: { model, centre: { x: 300, y: 200 }, reach: 350 },
      readings: { readingSd: 0.1, stated: true, markSd: 0 },
      check: job.check,
      clearance: job.cut.clearance,
      places,
    });
    const found = comparison.judge(places)!.needed / neededWith(job, openings, places, 8192);
    expect(found).toBeGreaterThan(0.98);
    expect(found).toBeLessThan(1.02);
  });
});
