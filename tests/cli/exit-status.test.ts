/** The exit status of `check` and what it says are one: 0 where the cut is next, and nowhere else. */
import { describe, expect, it } from 'vitest';
import { createRandom } from '../../src/numeric/random.js';
import { jobText, type Workshop, workshop } from './workshop.js';

interface Said {
  readonly status: number;
  readonly isCutNext: boolean;
  readonly json: {
    verdict: string;
    warnings: { code: string; remedies?: unknown[]; unsaid?: unknown }[];
    fit: { consistency: { consistent: boolean } | null } | null;
    assumptions: { turnsAt: number | null; usual: number | null; controlled: boolean }[];
  };
}

const checked = async (shop: Workshop, text: string): Promise<Said> => {
  shop.write('job.yaml', text);
  const told = await shop.call('check', 'job.yaml');
  const { status, out } = await shop.call('check', '--json', 'job.yaml');
  expect(status).toBe(told.status);
  return { status, isCutNext: /^ +reseat cut job\.yaml/m.test(told.out), json: JSON.parse(out) };
};

const expectAgreement = ({ status, isCutNext, json }: Said): void => {
  expect(isCutNext).toBe(status === 0);
  expect(json.verdict === 'fits').toBe(status === 0);
  if (status !== 0) {
    expect(status).toBe(1);
    return;
  }
  expect(
    json.warnings.filter(({ remedies, unsaid }) => remedies !== undefined || unsaid !== undefined),
  ).toEqual([]);
  expect(json.fit?.consistency?.consistent).not.toBe(false);
  const turning = json.assumptions.filter(
    ({ turnsAt, usual, controlled }) => !controlled && turnsAt !== null && usual !== null && turnsAt <= usual,
  );
  expect(turning).toEqual([]);
};

describe('the exit status of check', () => {
  it('is not 0 where a reading is in doubt, though the figures would fit', async () => {
    const wide = (text: string) => text.replace('clearance: 0.5', 'clearance: 20');
    const said = await checked(workshop(), wide(jobText({ disturbance: [0, 10, 0, 0] })));
    expect(said.status).toBe(1);
    expect(said.json.warnings.some(({ remedies }) => remedies !== undefined)).toBe(true);
    expectAgreement(said);
  });

  it('is not 0 where the readings contradict their stated sd without pointing at one of them', async () => {
    const text = jobText({ disturbance: [0.25, -0.25, 0.25, -0.25] }).replace(
      'clearance: 0.5',
      'clearance: 3',
    );
    const said = await checked(workshop(), text);
    expect(said.status).toBe(1);
    expect(said.json.fit?.consistency?.consistent).toBe(false);
    expectAgreement(said);
  });

  it('is not 0 where a figure that nobody stated turns the verdict at a value that is common', async () => {
    const text = jobText().replace('clearance: 0.5', 'clearance: 0.17');
    const said = await checked(workshop(), text);
    expect(said.status).toBe(1);
    expectAgreement(said);
    const stated = `${text}machine: {reversal: [0, 0]}\ncheck: {cut-sd: 0, kerf-sd: 0, bow: 0, size-change: 0}\n`;
    const sure = await checked(
      workshop(),
      stated.replace('fit: {reading-sd: 0.06}', 'fit: {reading-sd: 0.06, mark-sd: 0, pointing-bias: 0}'),
    );
    expect(sure.status).toBe(0);
    expectAgreement(sure);
  });

  it('agrees with the next step that is told, for jobs of all kinds', async () => {
    const shop = workshop();
    const random = createRandom('exit status');
    const counts = [0, 0];
    for (let i = 0; i < 16; i++) {
      const size = [0.02, 0.06, 0.3, 2][i % 4]!;
      const disturbance = Array.from({ length: 4 }, () => size * random.normal());
      const text = jobText({ disturbance })
        .replace('clearance: 0.5', `clearance: ${[0.1, 0.3, 0.8, 3][random.index(4)]}`)
        .replace('reading-sd: 0.06', random.uniform() < 0.3 ? 'model: affine' : 'reading-sd: 0.06')
        .replace(/^ {2}D: .*\n/m, (line) => (random.uniform() < 0.2 ? '' : line));
      const said = await checked(shop, text);
      expectAgreement(said);
      counts[said.status]! += 1;
    }
    expect(Math.min(...counts)).toBeGreaterThan(2);
  });
});
