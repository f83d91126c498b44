/** Rectangles on a bed of known map, measured exactly or with errors. */
import type { MeasuredLength } from '../../src/calibration/parts/network.js';
import type { Point } from '../../src/geometry/point.js';
import { displayToTrue } from '../../src/marks/frames.js';

export interface TrueBed {
  readonly scale: readonly [number, number];
  /** radians */
  readonly skew: number;
}

/** Corners of two rectangles of different shape, as a sheet would have them; display, mm. */
export const twoRectangles: readonly (readonly Point[])[] = [
  [
    { x: 30, y: 30 },
    { x: 1170, y: 30 },
    { x: 1170, y: 870 },
    { x: 30, y: 870 },
  ],
  [
    { x: 330, y: 150 },
    { x: 870, y: 150 },
    { x: 870, y: 750 },
    { x: 330, y: 750 },
  ],
];

const letters = 'ABCDEFGH';

/** Four sides and two diagonals of each rectangle, true lengths under the map. */
export const lengthsOn = (
  bed: TrueBed,
  rectangles: readonly (readonly Point[])[] = twoRectangles,
): MeasuredLength[] => {
  const toTrue = displayToTrue({ axes: 'y-up', bedMap: bed });
  return rectangles.flatMap((corners, r) =>
    [
      [0, 1],
      [1, 2],
      [2, 3],
      [3, 0],
      [0, 2],
      [1, 3],
    ].map(([i, j]): MeasuredLength => {
      const from = corners[i!]!;
      const to = corners[j!]!;
      const [p, q] = [toTrue(from), toTrue(to)];
      return {
        from,
        to,
        names: [letters[4 * r + i!]!, letters[4 * r + j!]!],
        length: Math.hypot(q.x - p.x, q.y - p.y),
        where: { file: 'bed.csv', line: 2 + 6 * r + i! + j! },
      };
    }),
  );
};

export const withErrors = (
  lengths: readonly MeasuredLength[],
  errors: () => number,
  sd?: number,
): MeasuredLength[] =>
  lengths.map((l) => ({ ...l, length: l.length + errors(), ...(sd === undefined ? {} : { sd }) }));
