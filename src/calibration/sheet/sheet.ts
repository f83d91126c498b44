/**
 * The sheet to cut for a calibration: where its points, dots and kerf pieces lie, in display coordinates.
 *
 *     D--------------------P5-------------------C      A-D    large rectangle near the edges of the bed
 *     |            H----------------G           |      E-H    a rectangle of another shape inside it: the lengths
 *     |  P4        |     pair       |       P3  |             of both check each other; the crosses of A to D serve
 *     |            |    strips      |           |             the pointer, too
 *     |  P1        |     comb       |       P2  |      P1-P5  dots for the beam (small circles)
 *     |            E----------------F           |      in the middle what the kerf is measured on
 *     A-----------------------------------------B
 *
 * Everything lies at whole millimetres, so that nothing is lost in a form.
 */
import type { Point } from '../../geometry/point.js';
import type { Machine } from '../../job/job.js';
import { InputError } from '../../job/messages.js';
import { letterStrokes } from './stroke-letters.js';

export interface SheetPoint {
  readonly name: string;
  /** Display coordinates, mm. */
  readonly at: Point;
}

/** A run of straight lines; closed where it ends at its start. */
export type Polyline = readonly Point[];

export interface Sheet {
  /** Width and height used, mm; from the display's origin. */
  readonly size: readonly [number, number];
  /** A to H, crosses. */
  readonly points: readonly SheetPoint[];
  readonly dots: readonly SheetPoint[];
  /** Lines only marked on the surface: crosses and letters. */
  readonly surface: readonly Polyline[];
  /** Lines cut through, in the order to be cut: inner ones first. */
  readonly through: readonly Polyline[];
  readonly strips: { readonly count: number; readonly drawn: number; readonly length: number };
  readonly comb: { readonly slots: number; readonly drawn: number };
  /** Side of the square that falls out. */
  readonly pair: { readonly drawn: number };
}

/** Below this the two rectangles and the kerf pieces do not fit into each other. */
export const smallestSheet: readonly [number, number] = [300, 250];
/** A bed of 1200 x 900 mm is usual, and half of it in either direction fits most. Common practice, no source. */
export const usualSheet: readonly [number, number] = [600, 400];

const margin = 25;
const cross = 5;
const letterHeight = 6;
/**
 * A dot is burnt as a circle of 1 mm that is travelled: its middle does not depend on the side the beam came from, as a
 * single pulse's does where the axes have lost motion.
 */
export const dotRadius = 0.5;
const strips = { count: 10, drawn: 10, length: 50 } as const;
const comb = { slots: 5, drawn: 5, tooth: 8, depth: 25, back: 10 } as const;
const pair = { drawn: 30 } as const;
const gap = 12;

/** @throws InputError for an area too small for it */
export const layOutSheet = (size: readonly [number, number], axes: Machine['axes']): Sheet => {
  const [width, height] = size;
  if (!(width >= smallestSheet[0] && height >= smallestSheet[1])) {
    throw new InputError({
      found: `an area of ${width} x ${height} mm`,
      expected: `at least ${smallestSheet[0]} x ${smallestSheet[1]} mm`,
      next: 'Use as much of the bed as the machine reaches: the longer the lengths, the better the map.',
    });
  }
  const at = (x: number, y: number): Point => ({ x: Math.round(x), y: Math.round(y) });
  const corners = (left: number, low: number, right: number, high: number): Point[] => [
    at(left, low),
    at(right, low),
    at(right, high),
    at(left, high),
  ];
  const outer = corners(margin, margin, width - margin, height - margin);
  const inner = corners(0.27 * width, 0.14 * height, 0.73 * width, 0.86 * height);
  const points = [...outer, ...inner].map((p, i): SheetPoint => ({ name: 'ABCDEFGH'[i]!, at: p }));
  const dots = [
    at(0.15 * width, 0.3 * height),
    at(0.85 * width, 0.3 * height),
    at(0.85 * width, 0.7 * height),
    at(0.15 * width, 0.7 * height),
    at(0.5 * width, height - margin),
  ].map((p, i): SheetPoint => ({ name: `P${i + 1}`, at: p }));
  return {
    size,
    points,
    dots,
    surface: [...points.flatMap(crossLines), ...[...points, ...dots].flatMap((p) => nameLines(p, axes))],
    through: kerfPieces(at(width / 2, height / 2)),
    strips,
    comb,
    pair,
  };
};

/**
 * On the whole bed, or on a part of it from its origin.
 *
 * @param size width and height of the part, mm
 * @throws InputError for an area beyond the bed, or one too small for the sheet
 */
export const sheetOnBed = (
  { axes, size: bed }: Pick<Machine, 'axes' | 'size'>,
  size: readonly [number, number] = bed ?? usualSheet,
): Sheet => {
  if (bed !== undefined && (size[0] > bed[0] || size[1] > bed[1]))
    throw new InputError({
      found: `an area of ${size[0]} x ${size[1]} mm`,
      expected: `at most the bed, ${bed[0]} x ${bed[1]} mm`,
      next: 'Use a smaller area, or correct "size" of the machine.',
    });
  return layOutSheet(size, axes);
};

const crossLines = ({ at: { x, y } }: SheetPoint): Polyline[] => [
  [
    { x: x - cross, y },
    { x: x + cross, y },
  ],
  [
    { x, y: y - cross },
    { x, y: y + cross },
  ],
];

/** The name stands to the upper right, clear of the cross; readable from below on the page. */
const nameLines = ({ name, at }: SheetPoint, axes: Machine['axes']): Polyline[] => {
  const up = axes === 'y-up' ? 1 : -1;
  return letterStrokes(name, letterHeight).map((line) =>
    line.map((p) => ({ x: at.x + 3 + p.x, y: at.y + up * (3 + p.y) })),
  );
};

/** Square, strips and comb one below the other about the middle. */
const kerfPieces = (middle: Point): Polyline[] => {
  const combHeight = comb.depth + comb.back;
  const stripsLow = middle.y - strips.length / 2;
  return [
    squareLines({ x: middle.x - pair.drawn / 2, y: stripsLow + strips.length + gap }),
    ...stripLines({ x: middle.x - (strips.count * strips.drawn) / 2, y: stripsLow }),
    combLines({ x: middle.x - combWidth / 2, y: stripsLow - gap - combHeight }),
  ];
};

const squareLines = ({ x, y }: Point): Polyline => {
  const d = pair.drawn;
  return [
    { x, y },
    { x: x + d, y },
    { x: x + d, y: y + d },
    { x, y: y + d },
    { x, y },
  ];
};

/** Neighbours share the cut between them; the ends come last, when nothing is loose yet. */
const stripLines = ({ x, y }: Point): Polyline[] => {
  const across = Array.from({ length: strips.count + 1 }, (_, i): Polyline => {
    const at = x + i * strips.drawn;
    return [
      { x: at, y },
      { x: at, y: y + strips.length },
    ];
  });
  const right = x + strips.count * strips.drawn;
  const ends = [y, y + strips.length].map(
    (at): Polyline => [
      { x: x - 1, y: at },
      { x: right + 1, y: at },
    ],
  );
  return [...across, ...ends];
};

const combWidth = comb.slots * comb.drawn + (comb.slots + 1) * comb.tooth;

/** Slots open at the top, on a back that holds the teeth. */
const combLines = ({ x, y }: Point): Polyline => {
  const top = y + comb.back + comb.depth;
  const line: Point[] = [
    { x, y },
    { x: x + combWidth, y },
    { x: x + combWidth, y: top },
  ];
  for (let slot = comb.slots - 1; slot >= 0; slot--) {
    const right = x + (slot + 1) * (comb.tooth + comb.drawn);
    const left = right - comb.drawn;
    line.push(
      { x: right, y: top },
      { x: right, y: y + comb.back },
      { x: left, y: y + comb.back },
      { x: left, y: top },
    );
  }
  return [...line, { x, y: top }, { x, y }];
};
