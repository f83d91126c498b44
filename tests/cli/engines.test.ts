/** The same figures on every Node that is supported: all that the examples print and write, byte by byte. */
import { spawnSync } from 'node:child_process';
import { cpSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { run, unpacked } from '../drawing/packages.js';
import { jobText, workshop } from './workshop.js';

const path = (name: string): string => fileURLToPath(new URL(name, import.meta.url));

/** The last of each line when this was written. */
const versions = ['20.20.2', '22.23.5', '24.22.3'];

/** The program `node` of a version, from the npm registry unless this is that very one. */
const nodeOf = (version: string): string | { readonly reason: string } => {
  if (process.versions.node === version) return process.execPath;
  const spec = `node-${process.platform}-${process.arch}@${version}`;
  const folder = unpacked(spec, (into) => {
    run('npm', ['pack', spec, '--silent', '--pack-destination', into], into);
    const archive = readdirSync(into).find((name) => name.endsWith('.tgz'))!;
    run('tar', ['xzf', archive, 'package/bin/node'], into);
    rmSync(join(into, archive));
  });
  return typeof folder === 'string' ? join(folder, 'package/bin/node') : folder;
};

const touches = [
  'touches:',
  '  - {on: moon, at: [353.7, 114.9], radius: unknown}',
  '  - {on: moon, at: [343.5, 124.7], radius: unknown}',
  '  - {on: moon, at: [333.5, 114.6], radius: unknown}',
  '  - {on: outline, at: [280.1, 118.6]}',
].join('\n');
const disturbed = [0.05, -0.03, 0.08, -0.02];
const jobs: Readonly<Record<string, string>> = {
  'touched.yaml': jobText({ disturbance: disturbed, more: touches }),
  // An sd that is estimated, and a model that is not a closed form in the drawing's unit.
  'affine.yaml': jobText({
    disturbance: disturbed,
    more: 'pierced: {kerf: 0.18, compensated: false}',
  }).replace('fit: {reading-sd: 0.06}', 'fit: {model: affine}'),
  'inlay.yaml': jobText({ disturbance: disturbed, more: 'film: {width: 80, overlap: 5}' }).replace(
    'cut: {',
    'cut: {kind: inlay, corners: round, ',
  ),
  'wrong.yaml': jobText({ disturbance: [0, 0.9, 0, 0] }),
  'machine.yaml': jobText({
    disturbance: disturbed,
    more: 'machine: {reversal: [0.03, 0.02], bed-map: {scale: [1.0004, 0.9998], skew-mrad: 0.35}, nc: {feed: 900, before-cut: M3 S400, after-cut: M5}}',
  }),
};

const fern = 'calibration/fern-screen';
const measured = 'calibration/example-machine';
const calls: readonly (readonly string[])[] = [
  ['list', `${fern}/fern-screen.svg`, '--json'],
  ['plan', `${fern}/plan.yaml`, '--json', '-o', 'marked.svg', '--picture', 'plan.svg'],
  ['fit', `${fern}/job.yaml`, '--json'],
  ['check', `${fern}/job.yaml`, '--json'],
  ['check', `${fern}/job.yaml`],
  ['cut', `${fern}/job.yaml`, '--json', '-o', 'fern.svg', '--picture', 'fern-picture.svg'],
  ['cut', `${fern}/job.yaml`, '-o', 'fern.dxf'],
  ...Object.keys(jobs).flatMap((job) => [
    ['check', '--json', job],
    ['cut', '--json', '--unproven', job, '-o', `${job}.svg`],
  ]),
  ['cut', 'machine.yaml', '-o', 'machine.nc'],
  ...['pointer', 'bed', 'kerf', 'beam'].map((part) => [
    'calibrate',
    part,
    `${measured}/${part}.csv`,
    '--profile',
    'bench.yaml',
    '--json',
  ]),
  ['calibrate', 'sheet', '-o', 'sheet.svg'],
  ['calibrate', 'drift', `${fern}/job.yaml`, '--json'],
];

/** All that the calls printed and wrote under one version, by name. */
const resultsOf = (node: string): Map<string, string> => {
  const { folder, write } = workshop();
  cpSync(path('../../calibration'), join(folder, 'calibration'), { recursive: true });
  for (const [name, text] of Object.entries(jobs)) write(name, text);
  const done = spawnSync(node, [path('engine-calls.js'), folder, JSON.stringify(calls)], {
    encoding: 'utf8',
    maxBuffer: 1e8,
  });
  expect(done.stderr).toBe('');
  const results = new Map<string, string>();
  for (const { argv, status, out, err } of JSON.parse(done.stdout))
    results.set(argv, `status ${status}\n${out}${err}`);
  for (const name of readdirSync(folder).filter((one) => /\.(svg|dxf|nc|yaml|csv)$/.test(one)))
    results.set(name, readFileSync(join(folder, name), 'utf8'));
  return results;
};

describe('another version of Node', () => {
  const [first, ...others] = versions;
  let expected: Map<string, string> | undefined;

  it.for(others)('%s prints and writes the same bytes', { timeout: 300_000 }, (version, context) => {
    for (const one of [first!, version]) {
      const node = nodeOf(one);
      if (typeof node === 'string') continue;
      console.warn(`Node ${one} cannot be had: ${node.reason}`);
      return context.skip();
    }
    expected ??= resultsOf(nodeOf(first!) as string);
    const results = resultsOf(nodeOf(version) as string);
    expect([...results.keys()]).toEqual([...expected.keys()]);
    for (const [name, text] of results) expect(text, name).toBe(expected.get(name));
    // Calls that were refused would agree as well.
    for (const call of calls) expect(results.get(call.join(' ')), call.join(' ')).toMatch(/^status [01]\n/);
  });
});

describe('the command itself', () => {
  it.for(versions)('starts on Node %s and says nothing but its answer', (version, context) => {
    const node = nodeOf(version);
    if (typeof node !== 'string') {
      console.warn(`Node ${version} cannot be had: ${node.reason}`);
      return context.skip();
    }
    const { stderr, status } = spawnSync(node, [path('../../bin/reseat.js'), '--version'], {
      encoding: 'utf8',
    });
    expect([stderr, status]).toEqual(['', 0]);
  });
});

describe('the sources', () => {
  it('leave no power to the engine but squares and powers of two', () => {
    const folder = path('../../src');
    const found: string[] = [];
    for (const name of readdirSync(folder, { recursive: true, encoding: 'utf8' })) {
      if (!name.endsWith('.ts')) continue;
      const text = readFileSync(join(folder, name), 'utf8').replace(/\/\*[\s\S]*?\*\/|\/\/.*/g, '');
      for (const [use] of text.matchAll(/Math\.pow|.*\*\*.*/g))
        if (!/(?<!\d)2 \*\* |\*\* 2(?![.\d])/.test(use)) found.push(`${name}: ${use.trim()}`);
    }
    expect(found).toEqual([]);
  });
});
