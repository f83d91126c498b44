import { describe, expect, test } from 'vitest';
import { type BudgetJob, neededOf } from './budget-job.js';

/**
 * Needed clearance at 5 % risk of ring, slot, tile and job, mm, and the largest Monte Carlo standard error of the row: 500,000
 * draws each by an independent program (numpy), not this one.
 */
type Row = readonly [
  name: string,
  job: BudgetJob,
  ring: number,
  slot: number,
  tile: number,
  whole: number,
  se: number,
];

const corner = { marks: 'KC' } as const;
const lost = (more: string): string =>
  `{reversal: [0.1, 0.06], beam-offset: [3, 4], cut-reversal: compensated${more}}`;
const known = ', beam-offset-approach: up, beam-offset-dots: figures';
const map = '{bed-map-sd: {scale: [0.0002, 0.0003], skew-mrad: 0.3}}';
const tiny = '{reading-sd: 0.00001}';

const rows: readonly Row[] = [
  ['S01 reading noise', { fit: '{reading-sd: 0.08}' }, 0.1045, 0.0913, 0.1013, 0.1126, 0.0001],
  ['S02 three marks', { marks: 'K3', fit: '{reading-sd: 0.08}' }, 0.1363, 0.1097, 0.1093, 0.1389, 0.0001],
  ['S03 marks in a corner', { ...corner, fit: '{reading-sd: 0.08}' }, 0.3614, 0.386, 0.6389, 0.6389, 0.0009],
  [
    'S04 each read four times',
    { turn: 30, repeats: 4, fit: '{reading-sd: 0.08}' },
    0.0524,
    0.0457,
    0.0505,
    0.0563,
    0.0001,
  ],
  [
    'S05 marks not quite where drawn',
    { repeats: 4, fit: '{reading-sd: 0.001, mark-sd: 0.05}' },
    0.0654,
    0.0572,
    0.0633,
    0.0705,
    0.0001,
  ],
  // Rounding alone counts as normal with a twelfth of the squared step: the second row of the example.
  [
    'S06 display step, no noise',
    { turn: 30, repeats: 3, fit: '{reading-sd: 0.00001, display-step: 0.1}' },
    0.0377,
    0.033,
    0.0365,
    0.0406,
    0.0001,
  ],
  // The sd of displayed figures: noise 0.03 and rounding together.
  [
    'S07 display step and noise',
    {
      turn: 30,
      repeats: 4,
      fit: `{reading-sd: ${Math.hypot(0.03, 0.1 / Math.sqrt(12))}, display-step: 0.1}`,
    },
    0.0276,
    0.0241,
    0.0267,
    0.0297,
    0.0001,
  ],
  [
    'S07 the noise alone stated: the bound that never fails',
    { turn: 30, repeats: 4, fit: '{reading-sd: 0.03, display-step: 0.1}' },
    0.0425,
    0.0372,
    0.0411,
    0.0457,
    0.0001,
  ],
  [
    'S08 the same rounding at every mark',
    { fit: '{reading-sd: 0.0001, display-step: 0.1}' },
    0.0707,
    0.05,
    0.0612,
    0.0707,
    0.0001,
  ],
  [
    'S09 lost motion, one unknown side',
    { fit: '{reading-sd: 0.05, approach: same}', machine: lost(known) },
    0.1077,
    0.0935,
    0.1023,
    0.1121,
    0.0001,
  ],
  [
    'S11 any side at every mark',
    { fit: '{reading-sd: 0.05, approach: either}', machine: lost(known) },
    0.1077,
    0.0937,
    0.1064,
    0.1121,
    0.0002,
  ],
  [
    'S12 known sides',
    { fit: '{reading-sd: 0.05, approach: up}', machine: lost(known) },
    0.0655,
    0.0572,
    0.0634,
    0.0704,
    0.0001,
  ],
  [
    'S13 lost motion in the cut',
    { fit: '{reading-sd: 0.05}', machine: '{cut-reversal: [0.1, 0.06]}' },
    0.1029,
    0.1008,
    0.1097,
    0.1125,
    0.0001,
  ],
  ['S15 bed map', { fit: tiny, machine: map }, 0.0869, 0.0124, 0.0928, 0.0954, 0.0001],
  ['S16 bed map, turned', { turn: 30, fit: tiny, machine: map }, 0.0801, 0.0133, 0.0893, 0.091, 0.0001],
  [
    'S17 bed map, marks in a corner, turned',
    { ...corner, turn: 90, fit: tiny, machine: map },
    0.1444,
    0.1802,
    0.2621,
    0.2621,
    0.0003,
  ],
  ['S18 bow', { fit: '{reading-sd: 0.05}', check: '{bow: 0.3}' }, 0.2357, 0.3028, 0.1982, 0.3028, 0.0001],
  [
    'S19 size',
    { ...corner, fit: '{reading-sd: 0.05}', check: '{size-change: 0.0004}' },
    0.2617,
    0.2801,
    0.4105,
    0.4105,
    0.0005,
  ],
  [
    'S20 kerf',
    { fit: '{reading-sd: 0.001}', check: '{kerf-sd: 0.04}' },
    0.0335,
    0.0334,
    0.0335,
    0.0336,
    0.0001,
  ],
  [
    'S21 cut',
    { fit: '{reading-sd: 0.001}', check: '{cut-sd: 0.05}' },
    0.1223,
    0.1117,
    0.1117,
    0.1223,
    0.0001,
  ],
  [
    'S22 habit of the eye',
    { fit: '{reading-sd: 0.05, pointing-bias: 0.1}' },
    0.149,
    0.143,
    0.1476,
    0.1541,
    0.0001,
  ],
  [
    'C1 five causes',
    {
      turn: 1.7,
      repeats: 2,
      fit: '{reading-sd: 0.06, mark-sd: 0.03}',
      check: '{cut-sd: 0.03, kerf-sd: 0.02}',
    },
    0.1026,
    0.0928,
    0.0969,
    0.1074,
    0.0001,
  ],
  [
    'C2 six causes, three marks',
    {
      marks: 'K3',
      turn: 8,
      fit: `{reading-sd: ${Math.hypot(0.06, 0.05 / Math.sqrt(12))}, mark-sd: 0.03, display-step: 0.05}`,
      machine: '{beam-offset: [1, 2], beam-offset-sd: 0.02}',
      check: '{cut-sd: 0.03, kerf-sd: 0.02}',
    },
    0.1473,
    0.1259,
    0.1258,
    0.1507,
    0.0002,
  ],
  [
    'C4 marks in a corner, five causes',
    {
      ...corner,
      fit: '{reading-sd: 0.05, mark-sd: 0.03}',
      machine: '{bed-map-sd: {scale: [0.0001, 0.0001], skew-mrad: 0.1}}',
      check: '{cut-sd: 0.02, size-change: 0.0002}',
    },
    0.2846,
    0.2998,
    0.4776,
    0.4776,
    0.0006,
  ],
];

describe('The needed clearance agrees with an independent simulation', () => {
  for (const [name, job, ...figures] of rows) {
    const se = figures[4]!;
    test(name, () => {
      const found = neededOf(job);
      const off = found.map((value, i) => (value - figures[i]!) / (0.01 * figures[i]! + 3 * se + 5e-5));
      for (const each of off)
        expect(Math.abs(each), `${found.map((v) => v.toFixed(4)).join(' ')}`).toBeLessThan(1);
    });
  }
});
