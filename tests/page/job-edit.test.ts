import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import {
  readingRows,
  touchRows,
  withoutPair,
  withPair,
  withReading,
  withTouch,
  withValue,
  withWitness,
  withYaml,
  witnessRows,
  written,
} from '../../src/page/kept/job-edit.js';
import { figureOf } from '../../src/page/kept/typed.js';
import { jobOf } from '../job/message-of.js';

const figure = (text: string) => figureOf(text)!;
const example = readFileSync(new URL('../../calibration/fern-screen/job.yaml', import.meta.url), 'utf8');

describe('a job file that a page changes', () => {
  it('is begun in the order in which a person would write it, with the decimals that were typed', () => {
    let text = withValue('', ['drawing'], 'fern.svg');
    text = withReading(text, 'A', figure('112,42'), figure('96.10'));
    text = withReading(text, 'B', figure('671.93'), figure('104.82'));
    text = withReading(text, 'B', figure('671.90'), figure('104.86'));
    text = withValue(text, ['cut', 'clearance'], figure('0,5'));
    text = withValue(text, ['fit', 'reading-sd'], figure('0.08'));
    text = withValue(text, ['machine', 'axes'], 'y-down');
    text = withValue(text, ['title'], 'fern');
    expect(text).toBe(`title: fern
drawing: fern.svg
readings:
  A: [112.42, 96.10]
  B: [[671.93, 104.82], [671.90, 104.86]]
machine:
  axes: y-down
fit:
  reading-sd: 0.08
cut:
  clearance: 0.5
`);
    expect(jobOf(text).readings.map(({ mark, at }) => [mark, at.length])).toEqual([
      ['A', 1],
      ['B', 2],
    ]);
  });

  it('keeps comments, and everything that was not typed over, as it was written', () => {
    const lines = (text: string) => text.split('\n');
    const after = lines(withPair(example, ['readings', 'C'], figure('727.84'), figure('731.85')));
    const differing = lines(example).filter((line, i) => line !== after[i]);
    expect(after.length).toBe(lines(example).length);
    expect(differing).toEqual(['  C: [772.84, 731.85]']);
    const second = withPair(example, ['readings', 'B', 1], figure('795.10'), figure('174.10'));
    expect(second).toContain('B: [[795.12, 174.10], [795.10, 174.10]]');
  });

  it('shows each line as it is written', () => {
    expect(readingRows(example)).toMatchObject([
      { mark: 'A', count: 0, x: '429.67', y: '157.21', at: ['readings', 'A'] },
      { mark: 'B', count: 0, x: '795.12', y: '174.10', at: ['readings', 'B', 0] },
      { mark: 'B', count: 1, x: '795.12', y: '174.13', at: ['readings', 'B', 1] },
      { mark: 'C', count: 0, x: '772.84', y: '731.85' },
      { mark: 'D', count: 0, x: '411.75', y: '700.96' },
    ]);
    expect(readingRows('readings: table.csv\n')).toBeUndefined();
    expect(readingRows('readings: {7: {at: [1.5, 2], direction: up}}')).toMatchObject([
      { mark: '7', x: '1.5', y: '2', at: ['readings', 7, 'at'] },
    ]);
    expect(written(example, ['cut', 'kerf'])).toBe('0.12');
    expect(written(example, ['fit', 'reading-sd'])).toBeUndefined();
  });

  it('loses a line, and what is then empty round it', () => {
    expect(withoutPair(example, ['readings', 'B', 1])).toContain('B: [795.12, 174.10]');
    expect(withoutPair(example, ['readings', 'A'])).not.toContain('A: [');
    expect(withoutPair('drawing: a.svg\nreadings: {A: [1, 2]}\n', ['readings', 'A'])).toBe(
      'drawing: a.svg\n',
    );
    const touched = withTouch('drawing: a.svg\n', { on: 'outline' }, figure('1'), figure('2'));
    expect(withoutPair(touched, ['touches', 0, 'at'])).toBe('drawing: a.svg\n');
  });

  it('takes touches and witness readings', () => {
    let text = withTouch('drawing: a.svg\n', { on: 'peg', radius: 'unknown' }, figure('1.50'), figure('2'));
    text = withTouch(text, { on: 'outline', start: [10, 20.126] }, figure('3'), figure('4'));
    text = withWitness(text, [214.5412, 291.39], figure('618.0'), figure('436.4'));
    expect(touchRows(text)).toMatchObject([
      { on: 'peg', radius: 'unknown', x: '1.50', y: '2', at: ['touches', 0, 'at'] },
      { on: 'outline', start: [10, 20.13], x: '3', y: '4' },
    ]);
    expect(witnessRows(text)).toMatchObject([{ point: [214.54, 291.39], x: '618.0', y: '436.4' }]);
    const job = jobOf(text);
    expect(job.touches).toHaveLength(2);
    expect(job.witness).toHaveLength(1);
  });

  it('takes roles as they are written, and takes a value out again', () => {
    const text = withYaml(
      'drawing: a.svg\n',
      ['roles'],
      '{openings: [leaves, "stroke:#c83737"], outline: edge}',
    );
    expect(text).toBe('drawing: a.svg\nroles: {openings: [leaves, "stroke:#c83737"], outline: edge}\n');
    expect(withValue(text, ['roles'], undefined)).toBe('drawing: a.svg\n');
    const cut = withValue('drawing: a.svg\n', ['cut', 'kerf'], figure('0.2'));
    expect(withValue(cut, ['cut', 'kerf'], undefined)).toBe('drawing: a.svg\n');
  });
});
