/** Each assumption of random jobs: just below the value named the job has its accepted risk to spare, just above it has not. */

import { describe, expect, test } from 'vitest';
import { createRandom } from '../../src/numeric/random.js';
import { checkJob, loadJob } from '../../src/reseat.js';
import type { Check } from '../../src/verdict/check-result.js';

/** A panel, marks, readings and what is said of their errors; `more` overrides any of it. */
interface RandomJob {
  readonly drawing: string;
  readonly text: (more: Said) => string;
}
type Said = Partial<Record<'fit' | 'check' | 'machine', Record<string, number | string | readonly number[]>>>;

const randomJob = (seed: number): RandomJob => {
  const random = createRandom(`turns-at ${seed}`);
  const between = (low: number, high: number) => low + (high - low) * random.uniform();
  const pick = <T>(values: readonly T[]): T => values[Math.floor(values.length * random.uniform())]!;
  const [w, h] = [between(150, 900), between(150, 700)];
  const openings = Array.from({ length: 1 + Math.floor(between(0, 5)) }, (_, i) => {
    const [x, y] = [between(50, w - 50), between(50, h - 50)];
    const size = between(4, 25);
    return random.uniform() < 0.5
      ? `<circle id="o${i}" cx="${x}" cy="${y}" r="${size}"/>`
      : `<rect id="o${i}" x="${-size}" y="${-size / 3}" width="${2 * size}" height="${(2 * size) / 3}" transform="translate(${x} ${y}) rotate(${between(0, 180)})"/>`;
  });
  const drawing = `<svg xmlns="http://www.w3.org/2000/svg" width="${w}mm" height="${h}mm" viewBox="0 0 ${w} ${h}">
<g id="outline"><rect id="panel" x="0" y="0" width="${w}" height="${h}"/></g><g id="openings">${openings.join('\n')}</g></svg>`;
  const corners = [
    [10, 10],
    [w - 10, 10],
    [w - 10, h - 10],
    [10, h - 10],
  ] as const;
  const marks = corners.slice(0, 3 + Math.floor(between(0, 2)));
  const angle = pick([0, 0, between(-0.1, 0.1), Math.PI / 2, between(-3, 3)]);
  const [c, s] = [Math.cos(angle), Math.sin(angle)];
  const sd = between(0.02, 0.08);
  const names = 'ABCD';
  const read = marks.map(([x, y]) => {
    const at = [c * x - s * y + 1000 + sd * random.normal(), s * x + c * y + 1000 + sd * random.normal()];
    return `[${at.map((v) => v.toFixed(2)).join(', ')}]`;
  });
  const clearance = between(4, 15) * sd;
  const known = random.uniform() < 0.4;
  const own: Said = {
    fit: {
      'reading-sd': sd.toFixed(4),
      approach: 'same',
      ...(random.uniform() < 0.3 ? { 'reading-sd-dof': Math.floor(between(4, 40)) } : {}),
      ...(known ? { 'pointing-bias': (0.3 * sd).toFixed(4) } : {}),
    },
    check: random.uniform() < 0.3 ? { 'cut-sd': (sd / 2).toFixed(4) } : {},
    machine: random.uniform() < 0.3 ? { reversal: [sd / 2, sd / 3] } : {},
  };
  const flow = (values: object) =>
    `{${Object.entries(values)
      .map(([key, v]) => `${key}: ${Array.isArray(v) ? `[${v.join(', ')}]` : v}`)
      .join(', ')}}`;
  const kind = pick(['opening', 'inlay']);
  const corner = pick(['mitre', 'round']);
  return {
    drawing,
    text: (more) => `drawing: panel.svg
marks: {${marks.map(([x, y], i) => `${names[i]}: [${x}, ${y}]`).join(', ')}}
readings: {${read.map((at, i) => `${names[i]}: ${at}`).join(', ')}}
machine: ${flow({ ...own.machine, ...more.machine })}
fit: ${flow({ ...own.fit, ...more.fit })}
cut: {kind: ${kind}, clearance: ${clearance.toFixed(3)}, corners: ${corner}, kerf: 0.1}
check: ${flow({ ...own.check, ...more.check })}
`,
  };
};

const checked = ({ drawing, text }: RandomJob, more: Said = {}): Check => {
  const loaded = loadJob(
    { path: 'job.yaml', text: text(more) },
    { read: (path) => (path === 'panel.svg' ? new TextEncoder().encode(drawing) : undefined) },
  );
  const done = checkJob(loaded);
  if (!done.ok) throw new Error(done.failure.reason);
  return done.check;
};

const saying: Record<string, (x: number) => Said> = {
  'mark-sd': (x) => ({ fit: { 'mark-sd': x } }),
  'pointing-bias': (x) => ({ fit: { 'pointing-bias': x } }),
  bow: (x) => ({ check: { bow: x } }),
  'size-change': (x) => ({ check: { 'size-change': x } }),
  'cut-sd': (x) => ({ check: { 'cut-sd': x } }),
  'kerf-sd': (x) => ({ check: { 'kerf-sd': x } }),
  'lost-motion': (x) => ({ machine: { reversal: [x, x] } }),
};

/** More of them: TURNS_AT_JOBS=200, some minutes; others: TURNS_AT_FROM=1001. */
const jobs = Number(process.env.TURNS_AT_JOBS ?? 3);
const first = Number(process.env.TURNS_AT_FROM ?? 1);

describe('The value at which an assumption turns the verdict', () => {
  test(
    'is right within 3 %, whatever the panel, its marks and its errors',
    () => {
      const wrong: string[] = [];
      let values = 0;
      for (let seed = first; seed < first + jobs; seed++) {
        const job = randomJob(seed);
        for (const { code, turnsAt } of checked(job).assumptions ?? []) {
          // A larger size or bow than a job may state is not tried.
          if (turnsAt === undefined || (code === 'size-change' && turnsAt > 0.04)) continue;
          const risk = (x: number): number => checked(job, saying[code]!(x)).risk!;
          values++;
          const [below, above] = [risk(0.97 * turnsAt), risk(1.03 * turnsAt)];
          if (below > 0.05 || above < 0.05)
            wrong.push(`job ${seed}: ${code} ${turnsAt}: ${below.toFixed(4)} .. ${above.toFixed(4)}`);
        }
      }
      expect(wrong).toEqual([]);
      expect(values).toBeGreaterThan(3 * jobs);
    },
    60_000 * jobs,
  );
});
