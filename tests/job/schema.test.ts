/** The JSON Schemas of job and profile against the readers: what a reader takes, its schema takes. */
import { readFileSync } from 'node:fs';
import { Ajv, type ValidateFunction } from 'ajv';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { type BoundName, bounds } from '../../src/job/bounds.js';
import { InputError } from '../../src/job/messages.js';
import { readJob } from '../../src/job/read/read-job.js';
import { readProfileText } from '../../src/job/read/read-machine.js';
import { jobSchema, profileSchema } from '../../src/job/schema.js';

const ajv = new Ajv({ allErrors: true, allowUnionTypes: true });
const takesJob = ajv.compile(jobSchema);
const takesProfile = ajv.compile(profileSchema);

const profileOf = (path: string): string =>
  readFileSync(new URL(`../../calibration/${path}`, import.meta.url), 'utf8');
const files = { read: (path: string) => (path.endsWith('.yaml') ? Buffer.from('name: bench\n') : undefined) };

const isRead = (read: () => unknown): boolean => {
  try {
    read();
    return true;
  } catch (fault) {
    if (fault instanceof InputError) return false;
    throw fault;
  }
};
const jobIsRead = (value: unknown): boolean =>
  isRead(() => readJob({ path: 'job.yaml', text: JSON.stringify(value) }, files));
const profileIsRead = (value: unknown): boolean =>
  isRead(() => readProfileText('bench.yaml', JSON.stringify(value)));

/** Every key of a profile, with a value that is taken. */
const profile = {
  format: 1,
  name: 'bench',
  measured: { pointer: '2026-11-20', bed: '2026-11-20', kerf: '2026-11-21', beam: '2026-11-21' },
  size: [1200, 900],
  axes: 'y-down',
  'reading-sd': 0.06,
  'reading-sd-dof': 18,
  reversal: [0.1, -0.05],
  'bed-map': { scale: [1.0004, 0.9998], 'skew-mrad': 0.35 },
  'bed-map-sd': { scale: [0.0001, 0.0001], 'skew-mrad': 0.1 },
  'beam-offset': [0.12, -0.31],
  'beam-offset-sd': 0.02,
  'beam-offset-approach': ['up', 'both'],
  'beam-offset-dots': 'figures',
  'cut-reversal': [0.1, 0.05],
  'display-step': 0.01,
  'pointing-sd': 0.02,
  'pointing-bias': 0.05,
  kerf: 0.15,
  'kerf-sd': 0.01,
  'kerf-dof': 3,
  'cut-sd': 0.03,
  'cut-sd-dof': 2.5,
  nc: {
    feed: 900,
    'before-cut': ['M3 S200'],
    'after-cut': 'M5',
    'first-lines': ['%', 'G94'],
    'last-lines': 'M2',
    decimals: 4,
    arcs: false,
  },
};

/** Every key of a job, with a value that is taken. */
const job = {
  title: 'Fern screen',
  date: '2026-11-25',
  drawing: 'screen.svg',
  units: 'px',
  dpi: 90,
  join: 0.02,
  face: 'down',
  roles: { marks: 'pegs', openings: ['leaves', 'not veins', 'stroke:#c83737'], outline: 'edge' },
  marks: { A: [20, 20], B: 'peg-2' },
  readings: {
    A: [112.42, 96.1],
    B: [
      [671.93, 104.82],
      [671.9, 104.8],
    ],
    C: { at: [668.1, 491.07], direction: 'up' },
    D: [[100, 490.2], { at: [100.1, 490.1], direction: ['up', 'down'] }],
  },
  touches: [
    { on: 'outline', at: [300.1, 500.2] },
    { on: 'peg', at: [120.3, 96.4], radius: 'unknown', start: [20, 30], direction: 'down' },
    {
      on: 'hole',
      at: [
        [120.3, 96.4],
        [120.2, 96.5],
      ],
      radius: 3.1,
    },
  ],
  witness: [
    { point: [200, 300], reading: [612.1, 436.2] },
    { point: 'leaf-7', reading: [522.1, 620.5], direction: ['up', 'down'] },
  ],
  machine: { profile: 'bench.yaml', kerf: 0.15, 'bed-map': { scale: [1.0004, 0.9998] } },
  fit: {
    model: 'affine',
    'reading-sd': 0.08,
    'reading-sd-dof': 6,
    'mark-sd': 0.03,
    approach: ['up', 'either'],
    'display-step': 0.01,
    'pointing-sd': 0.01,
    'pointing-bias': 0.02,
  },
  pierced: { kerf: 0.18, compensated: false },
  cut: {
    kind: 'opening',
    clearance: 0.5,
    kerf: 0.12,
    corners: 'round',
    'mitre-limit': 4,
    tolerance: 0.005,
    'smallest-land': 1.5,
    apply: 'rigid',
  },
  film: { width: 300, overlap: 0, direction: 'x' },
  material: { kind: 'mdf', humidity: [40, 60], temperature: [18, 24] },
  check: { 'accepted-risk': 0.05, 'cut-sd': 0.03, 'kerf-sd': 0.01, bow: 0.2, 'size-change': 0.0002 },
  plan: {
    marks: 3,
    use: ['land', 'holes'],
    allowed: 'places',
    'from-openings': 5,
    'from-edge': 8,
    spacing: 60,
    grid: 1,
  },
  gaps: [
    { opening: 'leaf-7', place: [20.3, 40.1], mm: 0.48 },
    { opening: 'crown', place: [54, 90.2], mm: null },
  ],
  'gap-sd': 0.03,
};

const faults = (of: ValidateFunction): string[] =>
  (of.errors ?? []).map((e) => `${e.instancePath} ${e.message}`);

/** The value with one part of it put in the place of what stands there. */
const changed = (
  value: unknown,
  path: readonly (string | number)[],
  by: (old: unknown) => unknown,
): unknown => {
  const [first, ...rest] = path;
  if (first === undefined) return by(value);
  if (Array.isArray(value)) return value.map((one, i) => (i === first ? changed(one, rest, by) : one));
  const object = value as Record<string, unknown>;
  return { ...object, [first]: changed(object[first], rest, by) };
};

/** The way to every mapping, list and single value. */
const waysIn = (value: unknown, way: readonly (string | number)[] = []): (readonly (string | number)[])[] => [
  way,
  ...(Array.isArray(value)
    ? value.flatMap((one, i) => waysIn(one, [...way, i]))
    : value !== null && typeof value === 'object'
      ? Object.entries(value).flatMap(([key, one]) => waysIn(one, [...way, key]))
      : []),
];

/** Numbers at the bounds of what stands there and a little beyond. */
const numbersFor = (way: readonly (string | number)[], prefix: string): number[] => {
  const names = way.filter((part) => typeof part === 'string' && part !== 'at');
  const full = `${prefix}${names.join('.')}`;
  const name = Object.keys(bounds)
    .filter((one) => full === one || full.startsWith(`${one}.`) || `${full}.at` === one)
    .sort((a, b) => b.length - a.length)[0];
  if (name === undefined) throw new Error(`No bounds are known for ${full}.`);
  const { above, atLeast, atMost } = bounds[name as BoundName] as {
    readonly above?: number;
    readonly atLeast?: number;
    readonly atMost?: number;
  };
  return [above, atLeast, atMost].flatMap((bound) =>
    bound === undefined ? [] : [bound, bound * 1.001, bound * 0.999, bound + 1, bound - 1, bound + 0.5],
  );
};

const others: readonly unknown[] = ['a word', '0,5', true, [], {}, [1, 2], { at: [1, 2] }];

describe('the JSON Schemas of job and profile', () => {
  it('take every key that the reader takes', () => {
    expect(jobIsRead(job)).toBe(true);
    expect(takesJob(job), faults(takesJob).join('\n')).toBe(true);
    const { format: _, ...machine } = profile;
    expect([takesJob({ ...job, machine }), jobIsRead({ ...job, machine })]).toEqual([true, true]);
    expect(profileIsRead(profile)).toBe(true);
    expect(takesProfile(profile), faults(takesProfile).join('\n')).toBe(true);
  });

  it.each([
    ['fern-screen/job.yaml', takesJob],
    ['fern-screen/plan.yaml', takesJob],
    ['profiles/workshop.yaml', takesProfile],
    ['example-machine/profile.yaml', takesProfile],
  ])('take the example %s', (path, takes) => {
    expect(takes(parse(profileOf(path))), faults(takes).join('\n')).toBe(true);
  });

  const cases = [
    ['job', job, jobIsRead, takesJob],
    ['profile', profile, profileIsRead, takesProfile],
  ] as const;

  it.each(cases)('of a %s refuse nothing that the reader takes', (_name, whole, isTaken, takes) => {
    for (const way of waysIn(whole)) {
      for (const value of others) {
        const other = changed(whole, way, () => value);
        if (takes(other) || !isTaken(other)) continue;
        throw new Error(`${way.join('.')}: ${JSON.stringify(value)} is read: ${faults(takes).join('; ')}`);
      }
    }
  });

  it.each(cases)(
    'of a %s refuse a number beyond its bounds, as the reader does',
    (name, whole, isTaken, takes) => {
      const leaves = waysIn(whole).filter(
        (way) =>
          typeof way.reduce((at: unknown, key) => (at as Record<string, unknown>)[key], whole) === 'number',
      );
      expect(leaves.length).toBeGreaterThan(25);
      for (const way of leaves) {
        // Rules that join several keys are the reader's: an overlap beside its width, a later format.
        if (way.at(-1) === 'overlap' || way.at(-1) === 'format') continue;
        for (const value of numbersFor(way, name === 'profile' ? 'machine.' : '')) {
          const other = changed(whole, way, () => value);
          expect([way.join('.'), value, takes(other)]).toEqual([way.join('.'), value, isTaken(other)]);
        }
      }
    },
  );

  it.each(cases)('of a %s refuse an unknown key wherever the reader does', (_name, whole, isTaken, takes) => {
    for (const way of waysIn(whole)) {
      const other = changed(whole, way, (old) =>
        old !== null && typeof old === 'object' && !Array.isArray(old) ? { ...old, clearence: [1, 2] } : old,
      );
      expect([way.join('.'), takes(other)]).toEqual([way.join('.'), isTaken(other)]);
    }
  });
});
