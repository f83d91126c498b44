/** Whatever is drawn: 200 random jobs against the second engine, both ways round. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { beamOffset, type CutInput } from '../../src/cut/cut.js';
import { compose, rotation, translation } from '../../src/geometry/affine.js';
import { judge } from './judge.js';
import { between, openingsWithin } from './random-openings.js';
import { cutInput } from './shapes.js';

const jobs: fc.Arbitrary<CutInput> = fc
  .record({
    openings: fc.oneof(openingsWithin(60), openingsWithin(30)),
    kind: fc.constantFrom('opening' as const, 'inlay' as const),
    corners: fc.constantFrom('round' as const, 'mitre' as const),
    clearance: between(0.1, 1.5),
    kerf: between(0, 0.3),
    turn: between(-3, 3),
    x: between(0, 600),
    y: between(0, 400),
  })
  .map(({ openings, kind, corners, clearance, kerf, turn, x, y }) =>
    cutInput(
      openings,
      { kind, corners, clearance, kerf },
      { toBed: compose(translation(x, y), rotation(turn)) },
    ),
  )
  .filter((input) => Math.abs(beamOffset(input.pierced, input.cut)) > 0.02);

/** What is wrong with a cut; 'unanswered' where the second engine itself fails on edges within rounding. */
const verdictOn = (input: CutInput): string | undefined => {
  try {
    return judge(input).fault;
  } catch (error) {
    if (error instanceof Error && error.name === 'TopologyException') return 'unanswered';
    throw error;
  }
};

describe('200 random jobs', () => {
  it('lie within the tolerance of the exact parallel curve, both ways round', { timeout: 240_000 }, () => {
    const faults: string[] = [];
    let judged = 0;
    for (const [i, input] of fc.sample(jobs, { seed: 20261125, numRuns: 230 }).entries()) {
      if (judged === 200) break;
      const verdict = verdictOn(input);
      if (verdict === 'unanswered') continue;
      judged += 1;
      if (verdict !== undefined) faults.push(`job ${i}: ${verdict}`);
    }
    expect(faults).toEqual([]);
    expect(judged).toBe(200);
  });
});
