/** What `--json` promises: keys that were there once stay there until the contract has a new number. */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import sharp from 'sharp';
import { describe, expect, it } from 'vitest';
import { schemaVersion } from '../../src/internal.js';
import { circleLoop, rendered } from '../scan/rendered.js';
import { jobText, workshop } from './workshop.js';

const file = (name: string): string => readFileSync(fileURLToPath(new URL(name, import.meta.url)), 'utf8');
const example = (name: string): string => file(`../../calibration/example-machine/${name}`);

/** `marks[].residual` for each key of an object, however deep. */
const keysIn = (value: unknown, above = ''): string[] => {
  if (Array.isArray(value)) return [...new Set(value.flatMap((item) => keysIn(item, `${above}[]`)))];
  if (typeof value !== 'object' || value === null) return [];
  return Object.entries(value).flatMap(([key, below]) => {
    const path = above === '' ? key : `${above}.${key}`;
    return [path, ...keysIn(below, path)];
  });
};

/** Two round openings, their centres 8 mm apart, 200 pixels to the inch. */
const scanned = (): Promise<Buffer> => {
  const loops = [circleLoop(4, 4, 2), circleLoop(12, 4, 2)];
  const { width, height, levels } = rendered(loops, { width: 16, height: 8, density: 200 / 25.4 });
  return sharp(levels as Uint8Array, { raw: { width, height, channels: 1 } })
    .withMetadata({ density: 200 })
    .png()
    .toBuffer();
};

/** The keys of what a call prints. */
const printed = async (...argv: string[]): Promise<string[]> => {
  const { call, write } = workshop();
  write(
    'touched.yaml',
    jobText({ more: 'touches: [{on: moon, at: [353.6, 114.8]}, {on: moon, at: [343.6, 124.8]}]' }),
  );
  write('film.yaml', jobText({ more: 'film: {width: 80, overlap: 5}' }));
  write('scan.png', await scanned());
  for (const part of ['pointer', 'bed', 'kerf', 'beam']) write(`${part}.csv`, example(`${part}.csv`));
  const { out } = await call(...argv, '--json');
  return keysIn(JSON.parse(out)).sort();
};

const calls: Readonly<Record<string, readonly string[]>> = {
  list: ['list', 'panel.svg'],
  plan: ['plan', 'job.yaml'],
  fit: ['fit', 'job.yaml'],
  'fit with touches': ['fit', 'touched.yaml'],
  check: ['check', 'job.yaml'],
  cut: ['cut', 'film.yaml', '-o', 'a.svg'],
  'calibrate pointer': ['calibrate', 'pointer', 'pointer.csv', '--profile', 'p.yaml'],
  'calibrate bed': ['calibrate', 'bed', 'bed.csv'],
  'calibrate kerf': ['calibrate', 'kerf', 'kerf.csv'],
  'calibrate beam': ['calibrate', 'beam', 'beam.csv'],
  'calibrate drift': ['calibrate', 'drift', 'job.yaml', '--date', '2026-11-20'],
  scan: ['scan', 'scan.png', '-o', 'a.svg', '--known', '4,4 12,4 = 8.01', '--known', '4,4 12,4 = 8.02'],
};

const contract: { schemaVersion: string; keys: Record<string, string[]> } = JSON.parse(
  file('../fixtures/json-contract.json'),
);

describe('the contract of --json', () => {
  it('has the number under which its keys are kept', () => {
    expect(schemaVersion).toBe(contract.schemaVersion);
    expect(Object.keys(contract.keys)).toEqual(Object.keys(calls));
  });

  it.each(Object.keys(calls))('keeps every key of %s', async (name) => {
    const now = new Set(await printed(...calls[name]!));
    expect(contract.keys[name]!.filter((key) => !now.has(key))).toEqual([]);
    expect([...now].filter((key) => key.endsWith('schemaVersion'))).toEqual(['schemaVersion']);
  });
});
