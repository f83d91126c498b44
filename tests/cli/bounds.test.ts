/** Every number that is read: taken at its bounds, refused beyond them, and worked on to an end wherever it may lie. */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { type Bound, type BoundName, bounds, limits } from '../../src/job/bounds.js';
import { placed, type Workshop, workshop } from './workshop.js';

/** Names in the order of the table. */
const names = Object.keys(bounds) as BoundName[];
const boundOf = (name: BoundName): Bound => bounds[name];

/** A call in which a number takes part; `lines` are the files it needs. */
interface Use {
  readonly argv: readonly string[];
  readonly files: Readonly<Record<string, unknown>>;
}

type Json = { [key: string]: unknown };

/** The job of a small panel, as JSON, which is YAML. */
const job = (changes: Json = {}): Json => ({
  drawing: 'panel.svg',
  readings: { A: placed(10, 10), B: placed(190, 10), C: placed(190, 90), D: placed(10, 90) },
  fit: { 'reading-sd': 0.06 },
  cut: { clearance: 0.5, kerf: 0.2 },
  ...changes,
});

const checked = (changes: Json): Use => ({
  argv: ['check', 'job.json'],
  files: { 'job.json': job(changes) },
});
const planned = (plan: Json): Use => ({
  argv: ['plan', 'job.json'],
  files: { 'job.json': job({ plan }) },
});
const machine = (keys: Json, argv: readonly string[] = ['check', 'job.json']): Use => ({
  argv,
  files: {
    'job.json': job({ machine: 'bench.yaml', fit: {}, cut: { clearance: 0.5 } }),
    'bench.yaml': { 'reading-sd': 0.06, kerf: 0.2, ...keys },
  },
});
const tool = { 'before-cut': 'M3', 'after-cut': 'M5' };
const written = (file: string): readonly string[] => ['cut', 'job.json', '-o', file, '--force'];
const calibrated = (part: string, list: string, rows: readonly Json[], ...more: string[]): Use => ({
  argv: ['calibrate', part, 'data.json', ...more],
  files: { 'data.json': { [list]: rows } },
});

const lengths = (changes: Json = {}): Json[] => [
  { 'from-x': 0, 'from-y': 0, 'to-x': 500, 'to-y': 0, length: 500.1, sd: 0.1, ...changes },
  { 'from-x': 0, 'from-y': 0, 'to-x': 0, 'to-y': 300, length: 300.05, sd: 0.1 },
  { 'from-x': 0, 'from-y': 0, 'to-x': 500, 'to-y': 300, length: 583.2, sd: 0.1 },
];
const strips = (changes: Json = {}): Json[] => [
  { kind: 'strips', count: 10, drawn: 10, measured: 98.4, sd: 0.02, ...changes },
  { kind: 'strips', count: 10, drawn: 10, measured: 98.42, sd: 0.02 },
];

const uses: Readonly<Record<BoundName, (value: number) => readonly Use[]>> = {
  dpi: (v) => [
    checked({ dpi: v }),
    { argv: ['list', 'px.svg', '--dpi', String(v)], files: { 'px.svg': pxDrawing } },
  ],
  join: (v) => [checked({ join: v }), { argv: ['list', 'panel.svg', '--join', v.toFixed(12)], files: {} }],
  marks: (v) => [
    checked({ marks: { A: [v, 10], B: [190, 10], C: [190, 90], D: [10, 90] } }),
    checked({ marks: { A: [10, v], B: [190, 10], C: [190, 90], D: [10, 90] } }),
  ],
  readings: (v) => [checked({ readings: { A: [v, 50], B: placed(190, 10), C: placed(190, 90) } })],
  'touches.at': (v) => [checked({ touches: [{ on: 'moon', at: [v, 100] }] })],
  'touches.start': (v) => [checked({ touches: [{ on: 'moon', at: [353.6, 114.8], start: [v, 1] }] })],
  'touches.radius': (v) => [
    checked({
      touches: [
        { on: 'moon', at: [353.6, 114.8], radius: v },
        { on: 'moon', at: [343.6, 124.8] },
      ],
    }),
  ],
  witness: (v) => [
    checked({ witness: [{ point: [60, 60], reading: [v, 124.4] }] }),
    checked({ witness: [{ point: [60, 60], reading: [340.8, v] }] }),
  ],
  'fit.reading-sd': (v) => [
    checked({ fit: { 'reading-sd': v } }),
    { ...planned({}), files: { 'job.json': job({ fit: { 'reading-sd': v }, plan: {} }) } },
  ],
  'fit.reading-sd-dof': (v) => [
    checked({ fit: { 'reading-sd': 0.06, 'reading-sd-dof': v } }),
    {
      ...planned({}),
      files: { 'job.json': job({ fit: { 'reading-sd': 0.06, 'reading-sd-dof': v }, plan: {} }) },
    },
  ],
  'fit.mark-sd': (v) => [checked({ fit: { 'reading-sd': 0.06, 'mark-sd': v } })],
  'fit.display-step': (v) => [checked({ fit: { 'reading-sd': 0.06, 'display-step': v } })],
  'fit.pointing-sd': (v) => [checked({ fit: { 'reading-sd': 0.06, 'pointing-sd': v } })],
  'fit.pointing-bias': (v) => [checked({ fit: { 'reading-sd': 0.06, 'pointing-bias': v } })],
  'pierced.kerf': (v) => [checked({ pierced: { kerf: v, compensated: false } })],
  'cut.kerf': (v) => [checked({ cut: { clearance: 0.5, kerf: v } })],
  'cut.clearance': (v) => [
    checked({ cut: { clearance: v, kerf: 0.2 } }),
    checked({ cut: { kind: 'inlay', clearance: v, kerf: 0.2 } }),
  ],
  'cut.mitre-limit': (v) => [checked({ cut: { 'mitre-limit': v } })],
  'cut.tolerance': (v) => [checked({ cut: { tolerance: v } })],
  'cut.smallest-land': (v) => [checked({ cut: { 'smallest-land': v } })],
  'check.accepted-risk': (v) => [
    checked({ check: { 'accepted-risk': v } }),
    { ...planned({}), files: { 'job.json': job({ check: { 'accepted-risk': v }, plan: {} }) } },
  ],
  'check.cut-sd': (v) => [checked({ check: { 'cut-sd': v } })],
  'check.kerf-sd': (v) => [checked({ check: { 'kerf-sd': v } })],
  'check.edge-sd': (v) => [checked({ check: { 'edge-sd': v } })],
  'check.bow': (v) => [checked({ check: { bow: v } })],
  'check.size-change': (v) => [checked({ check: { 'size-change': v } })],
  'check.allowed-deviation': (v) => [
    checked({ cut: { kind: 'as-drawn' }, check: { 'allowed-deviation': v } }),
  ],
  'film.width': (v) => [{ ...checked({ film: { width: v, overlap: 0 } }), argv: written('a.svg') }],
  'film.overlap': (v) => [
    { ...checked({ film: { width: 100_000, overlap: v / 4 } }), argv: written('a.svg') },
  ],
  'gaps.place': (v) => [checked({ gaps: [{ opening: 'moon', place: [v, 20], mm: 0.5 }] })],
  'gaps.mm': (v) => [checked({ gaps: [{ opening: 'moon', place: [60, 60], mm: v }] })],
  'gap-sd': (v) => [checked({ 'gap-sd': v })],
  'material.humidity': (v) => [checked({ material: { kind: 'mdf', humidity: [50, v] } })],
  'material.temperature': (v) => [checked({ material: { kind: 'acrylic', temperature: [v, 20] } })],
  'plan.marks': (v) => [planned({ marks: v })],
  'plan.from-openings': (v) => [planned({ 'from-openings': v })],
  'plan.from-edge': (v) => [planned({ 'from-edge': v })],
  'plan.spacing': (v) => [planned({ spacing: v })],
  'plan.grid': (v) => [planned({ grid: v })],
  'machine.format': (v) => [machine({ format: v })],
  'machine.size': (v) => [machine({ size: [v, 900] })],
  'machine.reading-sd': (v) => [machine({ 'reading-sd': v })],
  'machine.reading-sd-dof': (v) => [machine({ 'reading-sd': 0.05, 'reading-sd-dof': v })],
  'machine.reversal': (v) => [machine({ reversal: [v, 0.1] })],
  'machine.cut-reversal': (v) => [machine({ 'cut-reversal': v }), machine({ 'cut-reversal': [0.1, v] })],
  'machine.bed-map.scale': (v) => [machine({ 'bed-map': { scale: [v, 1] } })],
  'machine.bed-map.skew-mrad': (v) => [machine({ 'bed-map': { 'skew-mrad': v } })],
  'machine.bed-map-sd.scale': (v) => [machine({ 'bed-map-sd': { scale: [v, 0], 'skew-mrad': 0 } })],
  'machine.bed-map-sd.skew-mrad': (v) => [machine({ 'bed-map-sd': { scale: [0, 0], 'skew-mrad': v } })],
  'machine.beam-offset': (v) => [machine({ 'beam-offset': [v, 0] })],
  'machine.beam-offset-sd': (v) => [machine({ 'beam-offset': [0.1, 0], 'beam-offset-sd': v })],
  'machine.display-step': (v) => [machine({ 'display-step': v })],
  'machine.pointing-sd': (v) => [machine({ 'pointing-sd': v })],
  'machine.pointing-bias': (v) => [machine({ 'pointing-bias': v })],
  'machine.kerf': (v) => [machine({ kerf: v })],
  'machine.kerf-sd': (v) => [machine({ 'kerf-sd': v })],
  'machine.kerf-dof': (v) => [machine({ 'kerf-dof': v })],
  'machine.cut-sd-dof': (v) => [machine({ 'cut-sd-dof': v })],
  'machine.cut-sd': (v) => [machine({ 'cut-sd': v })],
  'machine.nc.feed': (v) => [machine({ nc: { feed: v, ...tool } }, written('a.nc'))],
  'machine.nc.decimals': (v) => [machine({ nc: { decimals: v, feed: 900, ...tool } }, written('a.nc'))],
  'table x, y': (v) => [
    calibrated('bed', 'lengths', lengths({ 'to-x': v })),
    calibrated('beam', 'dots', [
      { dot: 'a', x: v, y: 0, 'read-x': 0.1, 'read-y': 0 },
      { dot: 'b', x: 300, y: 0, 'read-x': 300.1, 'read-y': 0.1 },
      { dot: 'c', x: 300, y: 200, 'read-x': 300.1, 'read-y': 200.1 },
    ]),
    calibrated('pointer', 'readings', [
      { mark: 'A', x: v, y: 3 },
      { mark: 'A', x: 1, y: 3 },
      { mark: 'B', x: 100, y: 3 },
      { mark: 'B', x: 100.1, y: 3 },
    ]),
  ],
  'table length': (v) => [calibrated('bed', 'lengths', lengths({ length: v }))],
  'table sd': (v) => [
    calibrated('bed', 'lengths', lengths({ sd: v })),
    calibrated('kerf', 'measurements', strips({ sd: v })),
  ],
  'table count': (v) => [calibrated('kerf', 'measurements', strips({ count: v }))],
  'table drawn': (v) => [
    calibrated('kerf', 'measurements', [{ kind: 'gap', count: 5, drawn: v, measured: 27.4, sd: 0.02 }]),
  ],
  'table measured, hole, piece': (v) => [
    calibrated('kerf', 'measurements', strips({ measured: v })),
    calibrated('kerf', 'measurements', [{ kind: 'pair', hole: v, piece: 29.8, sd: 0.02 }]),
    calibrated('kerf', 'measurements', [{ kind: 'pair', hole: 30.1, piece: v, sd: 0.02 }]),
  ],
  '--sd': (v) => [
    calibrated('bed', 'lengths', lengths({ sd: undefined }), '--sd', v.toFixed(12)),
    calibrated('kerf', 'measurements', strips({ sd: undefined }), '--sd', v.toFixed(12)),
  ],
  '--rule': (v) => [calibrated('bed', 'lengths', lengths(), '--rule', v.toFixed(12))],
  'scan --dpi': (v) => [{ argv: ['scan', 'nope.png', '-o', 's.svg', '--dpi', v.toFixed(12)], files: {} }],
  'inspect --places': (v) => [{ argv: ['inspect', 'nope.yaml', '--places', String(v)], files: {} }],
  'inspect --turned': (v) => [{ argv: ['inspect', 'nope.yaml', `--turned=${v.toFixed(9)}`], files: {} }],
  'inspect --gamma': (v) => [{ argv: ['inspect', 'nope.yaml', '--gamma', v.toFixed(9)], files: {} }],
  'scan --smallest': (v) => [
    { argv: ['scan', 'nope.png', '-o', 's.svg', '--smallest', v.toFixed(12)], files: {} },
  ],
  '--size': (v) => [
    {
      argv: ['calibrate', 'sheet', '-o', 's.svg', '--size', `${Math.max(v, 300)},${v}`, '--force'],
      files: {},
    },
  ],
};

const pxDrawing = `<svg xmlns="http://www.w3.org/2000/svg" width="800" height="400"><g id="openings"><rect x="300" y="100" width="90" height="90"/></g><rect id="outline" width="800" height="400"/></svg>`;

const prepare = (shop: Workshop, { files }: Use): void => {
  for (const [name, content] of Object.entries(files))
    shop.write(name, typeof content === 'string' ? content : JSON.stringify(content));
};

/** A hair beyond, or one more where only whole numbers are taken. */
const beyond = ({ whole }: Bound, bound: number, direction: 1 | -1): number =>
  bound + direction * (whole ? 1 : Math.max(Math.abs(bound) * 1e-6, 1e-9));

const ends = (bound: Bound) =>
  [
    [bound.atLeast, -1],
    [bound.atMost, 1],
  ].flatMap(([at, direction]) =>
    at === undefined ? [] : [{ at, outside: beyond(bound, at, direction as 1 | -1) }],
  );

describe('a number that is read', () => {
  it('has a use in these tests, whatever it is', () => {
    expect(Object.keys(uses).sort()).toEqual([...names].sort());
  });

  it.each(names)('%s is taken at its bounds, and its work ends', async (name) => {
    const shop = workshop();
    for (const { at } of ends(boundOf(name))) {
      for (const use of uses[name](at)) {
        prepare(shop, use);
        const { status, err } = await shop.call(...use.argv);
        expect(status, err).toBeLessThan(4);
        // What is refused here is what the figure comes to, not the figure: a film of too many strips, a kerf of metres.
        // An option is refused by its own name.
        expect(err).not.toMatch(/found: +--/);
        expect(err).not.toMatch(/expected: a number.* (or more|or less|above )/);
      }
    }
  });

  it.each(names)('%s is refused beyond its bounds, with its place', async (name) => {
    const shop = workshop();
    for (const { outside } of ends(boundOf(name))) {
      for (const use of uses[name](outside)) {
        prepare(shop, use);
        const { status, out, err } = await shop.call(...use.argv);
        expect(status, `${name} ${outside} ${err}`).toBe(2);
        expect(out).toBe('');
        expect(err).toMatch(/ {2}found: .*\n {2}expected: /);
        if (name.startsWith('scan')) expect(err).toMatch(/found: +--/);
      }
    }
  });
});

describe('the table of bounds', () => {
  const document = readFileSync(new URL('../../src/job/README.md', import.meta.url), 'utf8');
  const section = document.slice(document.indexOf('## Bounds'));

  it('stands in the reference of the job with every bound and its reason', () => {
    const rows = names.map((name) => {
      const { unit = '', atLeast, atMost, why } = boundOf(name);
      return `| \`${name}\` | ${atLeast} | ${atMost ?? ''} | ${unit} | ${why} |`;
    });
    for (const row of rows) expect(section).toContain(`${row}\n`);
  });

  it('stands there with every limit of what may be in a file', () => {
    for (const [name, { most, why }] of Object.entries(limits))
      expect(section).toContain(`| \`${name}\` | ${most} | ${why} |\n`);
  });
});
