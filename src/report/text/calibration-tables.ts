/** The figures of a calibration as lines for a terminal, part by part. */

import type { Consistency, Estimate } from '../../calibration/estimate.js';
import type { BeamCalibration } from '../../calibration/parts/beam.js';
import type { BedCalibration } from '../../calibration/parts/bed.js';
import type { Habit } from '../../calibration/parts/habit.js';
import type { KerfCalibration } from '../../calibration/parts/kerf.js';
import { lengthName } from '../../calibration/parts/network.js';
import type { PointerCalibration, Reversal } from '../../calibration/parts/pointer.js';
import type { Spread } from '../../calibration/spread.js';
import { type Column, counted, fixed, signed, table, wrapped } from './layout.js';

const number = (title: string): Column => ({ title, align: 'right' });
const name = (title: string, room = 22): Column => ({ title, align: 'left', room });

/** Rows of a network or of dots that fit on a screen; larger residuals first. */
const mostRows = 12;

export const chance = (p: number): string => (p < 0.001 ? 'less than 0.001' : p.toFixed(p < 0.1 ? 3 : 2));

export const pointerLines = (found: PointerCalibration): string[] => {
  const { marks, readings, sides, x, y, both, reversal, isCoarse, habits } = found;
  const row = (what: string, s: Spread): string[] => [
    what,
    fixed(s.sd, 4),
    fixed(isCoarse ? undefined : s.low, 4),
    fixed(isCoarse ? undefined : s.high, 4),
    String(s.degrees),
    fixed(s.unbiased, 4),
  ];
  return [
    ...wrapped(
      `${counted(readings, 'reading')} of ${counted(marks, 'mark')}${sides === 2 ? ', from both sides' : ''}. One reading is out by, per axis, mm:`,
    ),
    ...table(
      [name(''), number('sd'), number('95 % from'), number('to'), number('degrees'), number('sd / c4')],
      [row('x', x), row('y', y), row('both axes', both)],
    ),
    ...(reversal === undefined ? [] : ['', ...reversalLines(reversal)]),
    ...(habits.length === 0 ? [] : ['', ...habitLines(habits)]),
  ];
};

/** Pairs of people that fit on a screen; larger differences first. */
const mostPairs = 6;

const habitLines = (habits: readonly Habit[]): string[] => [
  'Who reads where, the first person less the second, mm:',
  ...table(
    [
      name('', 24),
      number('places'),
      number('x'),
      number('y'),
      number('distance'),
      number('95 % from'),
      number('to'),
      number('by chance'),
    ],
    habits
      .slice(0, mostPairs)
      .map(({ between: [a, b], places, difference: { x, y }, distance, limits, pValue }) => [
        `${a}, ${b}`,
        String(places),
        signed(x, 4),
        signed(y, 4),
        fixed(distance, 4),
        fixed(limits[0], 4),
        fixed(limits[1], 4),
        chance(pValue),
      ]),
  ),
];

const reversalLines = ({ x, y }: { readonly x: Reversal; readonly y: Reversal }): string[] => {
  const row = (what: string, r: Reversal): string[] => [
    what,
    signed(r.mean, 4),
    signed(r.limits?.[0], 4),
    signed(r.limits?.[1], 4),
    `${signed(r.largest.value, 4)} at ${r.largest.mark}`,
    fixed(r.repeatability?.up, 3),
    fixed(r.repeatability?.down, 3),
    fixed(r.repeatability?.both, 3),
  ];
  return [
    'Reversal, up minus down, and repeatability R (after ISO 230-2), mm:',
    ...table(
      [
        name(''),
        number('mean'),
        number('95 % from'),
        number('to'),
        name('largest', 18),
        number('R up'),
        number('R down'),
        number('R both'),
      ],
      [row('x', x), row('y', y)],
    ),
  ];
};

export const bedLines = (found: BedCalibration): string[] => {
  const { scale, skew, lengths, redundancy, sd, crossSd, consistency, rectangles } = found;
  const row = (
    what: string,
    { value, sd: own, limits }: Estimate,
    unit: number,
    places: number,
  ): string[] => [
    what,
    fixed(value * unit, places),
    fixed(own === undefined ? undefined : own * unit, places),
    fixed(limits === undefined ? undefined : limits[0] * unit, places),
    fixed(limits === undefined ? undefined : limits[1] * unit, places),
  ];
  const size = (r: { readonly residual: number }): number => Math.abs(r.residual);
  const shown = [...lengths].sort((a, b) => size(b) - size(a)).slice(0, mostRows);
  return [
    ...wrapped(
      `${counted(lengths.length, 'length')}, redundancy ${redundancy}. ${agreement(consistency, sd)}${crossSd === undefined ? '' : ` ${crossText(crossSd)}`}`,
    ),
    ...table(
      [name(''), number('value'), number('sd'), number('95 % from'), number('to')],
      [row('scale x', scale.x, 1, 6), row('scale y', scale.y, 1, 6), row('skew, mrad', skew, 1000, 4)],
    ),
    ...wrapped(meaning(found), '', ''),
    ...(rectangles.length === 0
      ? []
      : [
          ...wrapped(
            `From the diagonals by hand, (d1^2 - d2^2) / 4WH: skew ${rectangles.map((r) => `${fixed(1000 * r.skew, 3)} mrad${r.names === undefined ? '' : ` (${r.names.join('')})`}`).join(', ')}.`,
          ),
        ]),
    '',
    ...table(
      [name('length'), number('measured'), number('computed'), number('residual'), number('over its sd')],
      shown.map(({ measured, computed, residual, normalized }) => [
        lengthName(measured),
        fixed(measured.length, 3),
        fixed(computed, 3),
        signed(residual, 3),
        signed(normalized, 1),
      ]),
    ),
    ...(lengths.length > shown.length
      ? [`  and ${lengths.length - shown.length} with smaller residuals (--json lists them all)`]
      : []),
  ];
};

const crossText = ({ value, limits: [low, high] }: NonNullable<BedCalibration['crossSd']>): string =>
  low > 0
    ? `Crosses lie ${fixed(value, 3)} mm off their places (one sd per axis; 95 %: ${fixed(low, 3)} to ${fixed(high, 3)}), which all lengths to one of them share.`
    : `Crosses lie at most ${fixed(high, 3)} mm off their places (one sd per axis, 95 %), which is not told from errors of measuring.`;

const agreement = (consistency: Consistency | undefined, sd: BedCalibration['sd']): string => {
  if (consistency !== undefined) {
    const verdict = consistency.consistent ? 'They agree as well as stated' : 'They disagree beyond it';
    return `Stated sd ${fixed(sd.stated, 3)} mm, by the residuals ${fixed(sd.estimated, 3)} mm. ${verdict} (chi-square ${consistency.chiSquare.toFixed(1)}; by chance: ${chance(consistency.pValue)}).`;
  }
  if (sd.estimated !== undefined)
    return `No sd is stated; by the residuals it is ${fixed(sd.estimated, 3)} mm.`;
  if (sd.stated !== undefined) return `Stated sd ${fixed(sd.stated, 3)} mm; nothing checks it.`;
  return 'Nothing tells how good they are.';
};

/**
 * What the map comes to, over a length that people have in mind, and whether it is worth having.
 */
const meaning = ({ scale, skew }: BedCalibration): string => {
  const over = 600;
  const sure = ({ limits }: Estimate): string =>
    limits === undefined ? '' : ` +- ${fixed(((limits[1] - limits[0]) / 2) * over, 2)}`;
  const beyond = ({ limits }: Estimate, value: number): boolean =>
    limits === undefined || value < limits[0] || value > limits[1];
  const worth = beyond(scale.x, 1) || beyond(scale.y, 1) || beyond(skew, 0);
  // Strain of the map against the same strain turned by 90 degrees: its largest principal value
  // (derived).
  const turnedMiss = Math.hypot(scale.x.value - scale.y.value, skew.value);
  return [
    `Where the display counts ${over} mm there are ${fixed(scale.x.value * over, 2)}${sure(scale.x)} mm along x and ${fixed(scale.y.value * over, 2)}${sure(scale.y)} mm along y; over that length the axes are out of square by ${fixed(Math.abs(skew.value) * over, 2)}${sure(skew)} mm (95 %).`,
    worth
      ? `Without the map a panel of that length, pierced here and turned by 90 degrees, would miss by up to ${fixed(turnedMiss * over, 2)} mm.`
      : 'None of this is more than the lengths may be out by: the bed may as well be true, and the map may be worse than none. Longer lengths or a finer rule would tell.',
  ].join(' ');
};

const kinds = { strips: 'strips', gap: 'gap', pair: 'hole and piece' } as const;

export const kerfLines = (found: KerfCalibration): string[] => {
  const { kerf, measurements, consistency, passSd } = found;
  const said = [
    `Kerf ${fixed(kerf.value, 4)} mm${kerf.sd === undefined ? '' : `, sd ${fixed(kerf.sd, 4)} mm${limitsText(kerf, 4)}`}.`,
    ...(consistency === undefined
      ? []
      : [
          `The measurements ${consistency.consistent ? 'agree as well as stated' : 'disagree beyond their stated sd'} (chi-square ${consistency.chiSquare.toFixed(1)}; by chance: ${chance(consistency.pValue)}).`,
        ]),
    ...(passSd === undefined ? [] : [passText(passSd)]),
    'It holds for this material, thickness, power, speed and focus; how it changes from sheet to sheet one sheet does not show.',
  ];
  const shown = measurements.slice(0, mostRows);
  return [
    ...wrapped(said.join(' ')),
    '',
    ...table(
      [name('by'), number('pieces'), number('drawn'), number('measured'), number('kerf'), number('its sd')],
      shown.map(({ measured: m, kerf: own, sd }) => [
        kinds[m.kind],
        m.kind === 'pair' ? '-' : String(m.count),
        m.kind === 'pair' ? '-' : fixed(m.drawn, 2),
        m.kind === 'pair' ? `${fixed(m.hole, 3)} / ${fixed(m.piece, 3)}` : fixed(m.measured, 3),
        fixed(own, 4),
        fixed(sd, 4),
      ]),
    ),
    ...(measurements.length > shown.length
      ? [`  and ${measurements.length - shown.length} more (--json lists them all)`]
      : []),
  ];
};

const passText = ({ value, limits: [low, high] }: NonNullable<KerfCalibration['passSd']>): string =>
  low > 0
    ? `From one cut to the next it changes by ${fixed(value, 3)} mm (one sd; 95 %: ${fixed(low, 3)} to ${fixed(high, 3)}).`
    : `A change from one cut to the next is not told from errors of measuring; it is at most ${fixed(high, 3)} mm (one sd, 95 %).`;

const limitsText = ({ limits }: Estimate, places: number): string =>
  limits === undefined ? '' : ` (95 % limits ${fixed(limits[0], places)} to ${fixed(limits[1], places)} mm)`;

export const beamLines = (found: BeamCalibration): string[] => {
  const { x, y, dots, spread, againstReading } = found;
  const axis = (what: string, e: Estimate): string[] => [
    what,
    signed(e.value, 4),
    fixed(e.sd, 4),
    signed(e.limits?.[0], 4),
    signed(e.limits?.[1], 4),
  ];
  const size = ({ residual }: { readonly residual: { x: number; y: number } }) =>
    Math.hypot(residual.x, residual.y);
  const shown = [...dots].sort((a, b) => size(b) - size(a)).slice(0, mostRows);
  return [
    ...wrapped(
      `${counted(dots.length, 'dot')}. The beam burns, seen from where the pointer looks, mm on the display:`,
    ),
    ...table(
      [name(''), number('offset'), number('sd'), number('95 % from'), number('to')],
      [axis('x', x), axis('y', y)],
    ),
    ...(spread === undefined ? [] : wrapped(spreadText(spread, againstReading))),
    '',
    ...table(
      [
        name('dot'),
        number('sent to x'),
        number('y'),
        number('off by x'),
        number('y'),
        number('residual x'),
        number('y'),
      ],
      shown.map(({ dot, offset, residual }) => [
        dot.name,
        fixed(dot.commanded.x, 2),
        fixed(dot.commanded.y, 2),
        signed(offset.x, 3),
        signed(offset.y, 3),
        signed(residual.x, 3),
        signed(residual.y, 3),
      ]),
    ),
    ...(dots.length > shown.length
      ? [`  and ${dots.length - shown.length} more (--json lists them all)`]
      : []),
  ];
};

const spreadText = (spread: Spread, against: BeamCalibration['againstReading']): string => {
  const scatter = `A dot scatters by ${fixed(spread.sd, 4)} mm per axis (95 % limits ${fixed(spread.low, 4)} to ${fixed(spread.high, 4)} mm)`;
  if (against === undefined) {
    return `${scatter}. The profile states no reading-sd, so it cannot be told how much of that is reading and how much the machine.`;
  }
  if (against.explained) {
    return `${scatter}, no more than reading with sd ${fixed(against.expected, 4)} mm makes likely (by chance: ${chance(against.pValue)}).`;
  }
  const more = `${scatter}, more than reading with sd ${fixed(against.expected, 4)} mm explains (by chance: ${chance(against.pValue)}).`;
  if (against.cutSd === undefined) return more;
  return `${more} The rest is how far the same cut lands elsewhere: write cut-sd: ${fixed(against.cutSd, 3)} into the profile if the machine always does that.`;
};
