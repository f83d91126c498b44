import { describe, expect, it } from 'vitest';
import { jobText, type TypedJob } from '../../src/page/job-text.js';
import { jobOf } from '../job/message-of.js';

const typed = (parts: Partial<TypedJob> = {}): TypedJob => ({
  given: undefined,
  title: 'fern',
  drawing: 'fern.svg',
  readings: [
    { mark: 'A', x: '112.42', y: '96.10' },
    { mark: 'B', x: '671.93', y: '104.82' },
    { mark: 'B', x: '671.90', y: '104.86' },
  ],
  marks: [],
  drawnMarks: ['A', 'B'],
  values: new Map([
    ['cut.kind', ''],
    ['cut.clearance', '0.5'],
    ['cut.kerf', ''],
    ['fit.reading-sd', '0.08'],
    ['units', 'mm'],
  ]),
  ...parts,
});

describe('the job that a page writes', () => {
  it('is a plain file, in the order a person would write it', () => {
    expect(jobText(typed())).toBe(`title: fern
drawing: fern.svg
units: mm
readings:
  A: [112.42, 96.1]
  B: [[671.93, 104.82], [671.9, 104.86]]
fit:
  reading-sd: 0.08
cut:
  clearance: 0.5
`);
  });

  it('is read as it was typed', () => {
    const job = jobOf(jobText(typed()));
    expect(job.readings.map(({ mark, at }) => [mark, at.length])).toEqual([
      ['A', 1],
      ['B', 2],
    ]);
    expect(job).toMatchObject({
      title: 'fern',
      units: 'mm',
      fit: { readingSd: 0.08 },
      cut: { clearance: 0.5 },
    });
  });

  it('keeps what is wrong as it was typed, for the reader to say so', () => {
    const text = jobText(typed({ values: new Map([['cut.kerf', '0,12']]) }));
    expect(text).toContain('kerf: 0,12');
    expect(() => jobOf(text)).toThrow('cut.kerf is "0,12"');
  });

  const given = `# Film behind the panel
title: Fern screen
drawing: fern.svg # the second version
machine: bench.yaml
readings:
  A: [112.42, 96.10] # from the left
  B: [1, 2]
  C: [3, 4]
film: {width: 300, overlap: 6}
cut:
  clearance: 0.5 # each side
  kerf: 0.12
`;

  it('leaves a given job as it is where nothing was typed, comments and all', () => {
    const same = typed({
      given,
      title: undefined,
      readings: [
        { mark: 'A', x: '112.42', y: '96.10' },
        { mark: 'B', x: '1', y: '2' },
        { mark: 'C', x: '3', y: '4' },
      ],
      values: new Map([
        ['cut.clearance', '0.5'],
        ['cut.kerf', '0.12'],
      ]),
    });
    expect(jobText(same)).toBe(given);
  });

  it('changes in a given job what was typed and nothing else', () => {
    const text = jobText(
      typed({
        given,
        title: undefined,
        readings: [
          { mark: 'A', x: '112.42', y: '96.10' },
          { mark: 'B', x: '7', y: '2' },
        ],
        values: new Map([
          ['cut.clearance', '0.6'],
          ['cut.kerf', ''],
        ]),
      }),
    );
    expect(text).toBe(
      given
        .replace('B: [1, 2]', 'B: [7, 2]')
        .replace('  C: [3, 4]\n', '')
        .replace('clearance: 0.5', 'clearance: 0.6')
        .replace('  kerf: 0.12\n', ''),
    );
  });

  it('names the drawn marks as well once another one is typed', () => {
    const text = jobText(typed({ marks: [{ name: 'peg', x: '20', y: '30.5' }] }));
    const job = jobOf(text);
    expect([...job.marks!]).toEqual([
      ['A', { shape: 'A' }],
      ['B', { shape: 'B' }],
      ['peg', { at: { x: 20, y: 30.5 } }],
    ]);
  });
});
