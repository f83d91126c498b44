/** What a job allows a panel to have changed by does not count against its readings. */
import { describe, expect, test } from 'vitest';
import { createRandom } from '../../src/numeric/random.js';
import { fitJob, loadJob } from '../../src/reseat.js';

type Pair = readonly [x: number, y: number];

const marks: readonly Pair[] = [
  [20, 20],
  [580, 20],
  [580, 380],
  [20, 380],
  [300, 20],
  [300, 380],
];

/** The panel stands on end where `tall`; bowed by so much, laid at a turn in degrees. */
interface Panel {
  readonly bow: number;
  readonly said: string;
  readonly turn?: number;
  readonly tall?: boolean;
  readonly face?: 'up' | 'down';
  readonly noise?: () => number;
  /** Of mark F, mm. */
  readonly slip?: number;
}

const fitted = ({ bow, said, turn = 0, tall = false, face = 'up', noise = () => 0, slip = 0 }: Panel) => {
  const [w, h] = tall ? [400, 600] : [600, 400];
  const [c, s] = [Math.cos((turn * Math.PI) / 180), Math.sin((turn * Math.PI) / 180)];
  const names = 'ABCDEF';
  const designs = marks.map(([x, y]): Pair => (tall ? [y, x] : [x, y]));
  const read = designs.map(([x, y], i) => {
    const by = bow * (1 - (((tall ? y : x) - 300) / 300) ** 2);
    const [u, v] = tall ? [x + by, y] : [x, y + by];
    const side = face === 'down' ? -u : u;
    const [p, q] = [c * side - s * v + 1000, s * side + c * v + 1000];
    return `[${(p + noise() + (i === 5 ? slip : 0)).toFixed(3)}, ${(q + noise()).toFixed(3)}]`;
  });
  const drawing = `<svg xmlns="http://www.w3.org/2000/svg" width="${w}mm" height="${h}mm" viewBox="0 0 ${w} ${h}">
<g id="outline"><rect id="panel" width="${w}" height="${h}"/></g></svg>`;
  const text = `drawing: panel.svg
face: ${face}
marks: {${designs.map((p, i) => `${names[i]}: [${p.join(', ')}]`).join(', ')}}
readings: {${read.map((p, i) => `${names[i]}: ${p}`).join(', ')}}
machine: {axes: y-up}
fit: {reading-sd: 0.05}
check: ${said}
`;
  const { outcome, warnings } = fitJob(
    loadJob({ path: 'job.yaml', text }, { read: () => new TextEncoder().encode(drawing) }),
  );
  if (!outcome.ok) throw new Error(outcome.failure.reason);
  const codes = warnings.map(({ code }) => code);
  return { consistency: outcome.fit.consistency!, codes };
};

const accusing = ['marks-disagree', 'suspect-reading', 'likely-slip', 'size-changed'];

describe('A bow that the job allows for', () => {
  for (const lying of [
    {},
    { turn: 90 },
    { turn: -37 },
    { tall: true },
    { tall: true, turn: 120 },
    { face: 'down', turn: 20 },
    { bow: -0.4 },
  ] as const)
    test(`is no disagreement of the marks: ${JSON.stringify(lying)}`, () => {
      const panel = { bow: 0.4, ...lying };
      expect(fitted({ ...panel, said: '{}' }).consistency.pValue).toBeLessThan(0.001);
      const allowed = fitted({ ...panel, said: '{bow: 0.4}' });
      expect(allowed.consistency.pValue).toBeGreaterThan(0.5);
      expect(allowed.codes.filter((code) => accusing.includes(code))).toEqual([]);
    });

  test('raises no more false alarms than noise does', () => {
    const random = createRandom('bow allowed');
    const jobs = 200;
    let told = 0;
    for (let i = 0; i < jobs; i++) {
      const bow = 0.6 * random.uniform() - 0.3;
      const { codes } = fitted({ bow, said: '{bow: 0.3}', noise: () => 0.05 * random.normal() });
      if (codes.some((code) => accusing.includes(code))) told++;
    }
    expect(told / jobs).toBeLessThan(0.07);
  });

  test('hides no slip that it cannot have made', () => {
    const { codes, consistency } = fitted({ bow: 0, said: '{bow: 0.2}', slip: 0.8 });
    expect(consistency.pValue).toBeLessThan(0.001);
    expect(codes.some((code) => accusing.includes(code))).toBe(true);
  });
});
