/** The forms that go with a calibration sheet: tables whose last columns are to be filled in, one for each command. */

import type { Machine } from '../../job/job.js';
import type { Direction } from '../parts/measurements.js';
import { beamFormat } from '../tables/read-beam.js';
import { bedFormat } from '../tables/read-bed.js';
import { kerfFormat } from '../tables/read-kerf.js';
import { pointerFormat } from '../tables/read-pointer.js';
import type { Sheet, SheetPoint } from './sheet.js';

/** Returns to each of four marks from either side. */
export const returns = 3;
/** The corners of the large rectangle: as far from each other as can be. */
const pointerMarks = ['A', 'B', 'C', 'D'] as const;
const sides: readonly Direction[] = ['up', 'down'];

export interface FormLength {
  readonly from: SheetPoint;
  readonly to: SheetPoint;
}

/** Sides and diagonals of both rectangles. */
export const formLengths = ({ points }: Pick<Sheet, 'points'>): FormLength[] =>
  [points.slice(0, 4), points.slice(4, 8)].flatMap((corners) =>
    (
      [
        [0, 1],
        [1, 2],
        [2, 3],
        [3, 0],
        [0, 2],
        [1, 3],
      ] as const
    ).map(([i, j]) => ({
      from: corners[i]!,
      to: corners[j]!,
    })),
  );

/** Marks in the order to be read: a round from one side, then a round from the other, and again. */
export const formReadings: readonly { readonly mark: string; readonly direction: Direction }[] = Array.from(
  { length: returns },
  () => sides.flatMap((direction) => pointerMarks.map((mark) => ({ mark, direction }))),
).flat();

export interface FormKerf {
  readonly kind: 'strips' | 'gap' | 'pair';
  readonly count?: number;
  readonly drawn?: number;
  /** What to measure, in words. */
  readonly what: string;
  /** Rows of one name measure the same cut. */
  readonly cut: string;
}

export const formKerf = ({ strips, comb, pair }: Pick<Sheet, 'strips' | 'comb' | 'pair'>): FormKerf[] => [
  {
    kind: 'strips',
    count: strips.count,
    drawn: strips.drawn,
    what: `all ${strips.count} strips pressed together`,
    cut: 'strips',
  },
  {
    kind: 'strips',
    count: strips.count,
    drawn: strips.drawn,
    what: 'the same, turned end for end',
    cut: 'strips',
  },
  ...[1, 3, comb.slots].map(
    (slot): FormKerf => ({
      kind: 'gap',
      count: 1,
      drawn: comb.drawn,
      what: `width of slot ${slot} of the comb`,
      cut: `slot ${slot}`,
    }),
  ),
  { kind: 'pair', what: `square of ${pair.drawn} mm along x`, cut: 'square x' },
  { kind: 'pair', what: 'the same along y', cut: 'square y' },
];

const table = (
  remarks: readonly string[],
  columns: readonly string[],
  rows: readonly (readonly string[])[],
): string =>
  [...remarks.map((line) => `# ${line}`), columns.join(','), ...rows.map((row) => row.join(',')), ''].join(
    '\n',
  );

const xy = ({ at }: SheetPoint): string[] => [String(at.x), String(at.y)];

export const pointerForm = (): string =>
  table(
    [
      'reseat calibrate pointer. Drive to each cross and read the display; drive away in between.',
      'up: come with both figures of the display growing. down: with both falling.',
      'who: for a second reader, who reads each cross from both sides (rows 9 to 16, say); blank where one person reads all.',
    ],
    [...pointerFormat.required.slice(0, 1), ...pointerFormat.optional, 'x', 'y'],
    formReadings.map(({ mark, direction }) => [mark, direction, '', '', '']),
  );

/** @param axes of the display, for which the sheet is made: the positions in the table hold for these alone */
export const bedForm = (sheet: Sheet, axes: Machine['axes']): string =>
  table(
    [
      'reseat calibrate bed. True lengths from cross to cross, by a steel rule, mm.',
      'sd: what one such length may be out by, one sd (half a division of the rule); blank: it is estimated.',
      'The rule itself: --rule 1 or --rule 2, the class that stands on it.',
    ],
    ['from', 'to', ...bedFormat.required, 'sd', 'axes'],
    formLengths(sheet).map(({ from, to }) => [from.name, to.name, ...xy(from), ...xy(to), '', '', axes]),
  );

export const kerfForm = (sheet: Sheet): string => {
  const rows = formKerf(sheet);
  return table(
    [
      'reseat calibrate kerf. With a caliper, mm. Pairs: width of the hole and of the piece out of it.',
      'sd: what one figure may be out by, one sd. cut: rows of one name measure the same cut again. The rows:',
      ...rows.map(({ what }, i) => `${i + 1}. ${what}`),
    ],
    [...kerfFormat.required, ...kerfFormat.optional],
    rows.map(({ kind, count, drawn, cut }) => [
      kind,
      String(count ?? ''),
      String(drawn ?? ''),
      '',
      '',
      '',
      '',
      cut,
    ]),
  );
};

/** @param axes as of `bedForm` */
export const beamForm = ({ dots }: Sheet, axes: Machine['axes']): string =>
  table(
    [
      'reseat calibrate beam. Drive the pointer to the middle of each burnt circle and read the display.',
      'direction: up where both figures of the display were growing on arrival, down where both were falling.',
      'burnt: figure for these circles; a single pulse instead: up or down, the side the beam came from.',
    ],
    [...beamFormat.required, ...beamFormat.optional],
    dots.map((dot) => [dot.name, ...xy(dot), '', '', '', 'figure', axes]),
  );
