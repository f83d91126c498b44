/** What a plan predicts for the marks that are there is what the check finds with exact readings of them. */
import { expect, test } from 'vitest';
import { createRandom } from '../../src/numeric/random.js';
import { checkJob, loadJob, loadPlan, planJob } from '../../src/reseat.js';

const randomJob = (
  seed: number,
): { readonly drawing: string; readonly text: (readings: boolean) => string } => {
  const random = createRandom(`plan as check ${seed}`);
  const between = (low: number, high: number) => low + (high - low) * random.uniform();
  const maybe = (value: string): string[] => (random.uniform() < 0.6 ? [value] : []);
  const [w, h] = [between(200, 900), between(200, 700)];
  const openings = Array.from({ length: 1 + Math.floor(between(0, 4)) }, (_, i) => {
    const [x, y] = [between(60, w - 60), between(60, h - 60)];
    const size = between(4, 25);
    return random.uniform() < 0.5
      ? `<circle id="o${i}" cx="${x}" cy="${y}" r="${size}"/>`
      : `<rect id="o${i}" x="${-2 * size}" y="${-size / 3}" width="${4 * size}" height="${(2 * size) / 3}" transform="translate(${x} ${y}) rotate(${between(0, 180)})"/>`;
  });
  const outline =
    random.uniform() < 0.7
      ? `<g id="outline"><rect id="panel" x="0" y="0" width="${w}" height="${h}"/></g>`
      : '';
  const drawing = `<svg xmlns="http://www.w3.org/2000/svg" width="${w}mm" height="${h}mm" viewBox="0 0 ${w} ${h}">
${outline}<g id="openings">${openings.join('\n')}</g></svg>`;
  const places = [
    [10, 10],
    [w - 10, 12],
    [w - 14, h - 10],
    [10, h - 30],
  ].slice(0, 2 + Math.floor(between(0, 3)));
  const machine = [
    'axes: y-up',
    ...maybe(
      `bed-map: {scale: [1, 1], skew-mrad: 0}, bed-map-sd: {scale: [${between(0, 4e-4)}, ${between(0, 4e-4)}], skew-mrad: ${between(0, 0.4)}}`,
    ),
    ...maybe(`reversal: [0.06, 0.03], beam-offset: [3, 4], beam-offset-sd: 0.01`),
  ];
  const fit = [
    `reading-sd: ${between(0.03, 0.1)}`,
    'approach: same',
    'mark-sd: 0.02',
    ...maybe('pointing-bias: 0.03'),
    ...maybe('reading-sd-dof: 12'),
  ];
  const check = [
    'cut-sd: 0.02',
    'kerf-sd: 0.02',
    ...maybe(`bow: ${between(0, 0.4)}`),
    ...maybe('size-change: 0.0004'),
  ];
  const kind = random.uniform() < 0.7 ? 'opening' : 'inlay';
  return {
    drawing,
    text: (isRead) => `drawing: panel.svg
marks: {${places.map(([x, y], i) => `${'ABCD'[i]}: [${x}, ${y}]`).join(', ')}}
${isRead ? `readings: {${places.map(([x, y], i) => `${'ABCD'[i]}: [${(x! + 500.00013).toFixed(5)}, ${(y! + 300.00027).toFixed(5)}]`).join(', ')}}` : 'plan: {marks: 2, grid: 80, spacing: 100}'}
machine: {${machine.join(', ')}}
fit: {${fit.join(', ')}}
cut: {kind: ${kind}, clearance: 0.3, corners: mitre, kerf: 0}
check: {${check.join(', ')}}
`,
  };
};

/** More of them: PLAN_JOBS=100. */
const jobs = Number(process.env.PLAN_JOBS ?? 12);

test(
  'in random jobs: bed map, bow, size, sides and habit, with an outline and without',
  () => {
    const wrong: string[] = [];
    for (let seed = 1; seed <= jobs; seed++) {
      const { drawing, text } = randomJob(seed);
      const files = { read: () => new TextEncoder().encode(drawing) };
      const planned = planJob(loadPlan({ path: 'job.yaml', text: text(false) }, files)).present!;
      const checked = checkJob(loadJob({ path: 'job.yaml', text: text(true) }, files));
      if (!checked.ok) throw new Error(checked.failure.reason);
      const needed = checked.check.neededClearance!;
      // Exact readings: an sd with degrees of freedom is pooled with residuals of nothing.
      const { stated = 1, used = 1 } = checked.fit.sd;
      const ratio = planned.jobNeededClearance! / needed;
      if (used !== stated ? ratio < 0.97 : Math.abs(ratio - 1) > 0.02)
        wrong.push(`${seed}: ${planned.jobNeededClearance} for ${needed}`);
    }
    expect(wrong).toEqual([]);
  },
  10_000 * jobs,
);
