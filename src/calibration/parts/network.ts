/** A network of measured lengths: whether it can be, which directions it has, the rectangles in it. */
import type { Point } from '../../geometry/point.js';
import { InputError, type Where } from '../../job/messages.js';

/** A true length, measured between two points where the machine was at these displayed positions. */
export interface MeasuredLength {
  /** Display coordinates turned y up, mm. */
  readonly from: Point;
  readonly to: Point;
  readonly names?: readonly [string, string];
  /** mm, above 0. */
  readonly length: number;
  /** mm; of all lengths or of none. */
  readonly sd?: number;
  readonly where: Where;
}

/** What a length without an sd may be out by, one sd, mm: half a division of a rule. Common practice, no source. */
const roughSd = 0.5;
/** In sds of the excess; a triangle of three points on a line is broken by chance as often as not. */
const tolerated = 4;

/** The same for the same place on the display. */
export const pointKey = (p: Point): string => `${p.x},${p.y}`;

/** The lengths between two points, however often they were measured. */
interface Edge {
  readonly length: number;
  readonly sd: number;
  readonly span: MeasuredLength;
}

const edgesOf = (spans: readonly MeasuredLength[]): Map<string, Map<string, Edge>> => {
  const edges = new Map<string, Map<string, Edge>>();
  const repeats = new Map<string, MeasuredLength[]>();
  for (const span of spans) {
    const key = [pointKey(span.from), pointKey(span.to)].sort().join(' ');
    repeats.set(key, [...(repeats.get(key) ?? []), span]);
  }
  const put = (from: string, to: string, edge: Edge): void => {
    const others = edges.get(from) ?? new Map<string, Edge>();
    others.set(to, edge);
    edges.set(from, others);
  };
  for (const same of repeats.values()) {
    const [span] = same as [MeasuredLength];
    const length = same.reduce((sum, s) => sum + s.length, 0) / same.length;
    const variance = same.reduce((sum, s) => sum + (s.sd ?? roughSd) ** 2, 0) / same.length ** 2;
    const edge = { length, sd: Math.sqrt(variance), span };
    put(pointKey(span.from), pointKey(span.to), edge);
    put(pointKey(span.to), pointKey(span.from), edge);
  }
  return edges;
};

/** @throws InputError for three points whose lengths cannot be the sides of a triangle, the worst of them */
export const checkTriangles = (spans: readonly MeasuredLength[]): void => {
  const edges = edgesOf(spans);
  let worst: { excess: number; sides: readonly [Edge, Edge, Edge] } | undefined;
  for (const [a, fromA] of edges) {
    for (const [b, ab] of fromA) {
      if (b <= a) continue;
      for (const [c, bc] of edges.get(b)!) {
        const ca = c > b ? fromA.get(c) : undefined;
        if (!ca) continue;
        const sides = [ab, bc, ca].sort((p, q) => q.length - p.length) as [Edge, Edge, Edge];
        const [longest, one, other] = sides;
        const sd = Math.hypot(longest.sd, one.sd, other.sd);
        const excess = longest.length - one.length - other.length;
        if (excess > tolerated * sd && excess > (worst?.excess ?? 0)) worst = { excess, sides };
      }
    }
  }
  if (!worst) return;
  const [longest, one, other] = worst.sides;
  const describe = ({ span, length }: Edge): string =>
    `${lengthName(span)} (${Number(length.toFixed(3))} mm)`;
  throw new InputError({
    found: `${describe(longest)} is longer by ${worst.excess.toFixed(2)} mm than the way round, ${describe(one)} and ${describe(other)}`,
    expected: 'lengths that make a triangle',
    where: longest.span.where,
    next: 'Measure these three again; one of them is wrong, or stands in the wrong row.',
  });
};

/** `A to C`, or the display positions. */
export const lengthName = ({ names, from, to }: MeasuredLength): string =>
  names === undefined ? `(${from.x}, ${from.y}) to (${to.x}, ${to.y})` : `${names[0]} to ${names[1]}`;

/** Two directions within this angle count as one, radians: too near to tell the unknowns apart. */
const sameDirection = 1e-6;

/** Which directions the lengths run in, on the display. */
export const spanDirections = (
  spans: readonly MeasuredLength[],
): { readonly alongX: boolean; readonly alongY: boolean; readonly oblique: number } => {
  const angles: number[] = [];
  for (const { from, to } of spans) {
    const angle = Math.atan2(to.y - from.y, to.x - from.x);
    const turned = (angle + 2 * Math.PI) % Math.PI;
    const near = (other: number): boolean => {
      const apart = Math.abs(turned - other);
      return Math.min(apart, Math.PI - apart) < sameDirection;
    };
    if (!angles.some(near)) angles.push(turned);
  }
  const is = (direction: number): ((angle: number) => boolean) => {
    return (angle) =>
      Math.min(Math.abs(angle - direction), Math.PI - Math.abs(angle - direction)) < sameDirection;
  };
  const alongX = angles.some(is(0));
  const alongY = angles.some(is(Math.PI / 2));
  return { alongX, alongY, oblique: angles.length - Number(alongX) - Number(alongY) };
};

/** A rectangle of the display with both diagonals measured, mm. */
export interface Rectangle {
  /** Its corners: bottom left, bottom right, top right, top left. Absent where the points have no names. */
  readonly names?: readonly string[];
  /** Mean of the measured sides; the display's where none was measured. */
  readonly width: number;
  readonly height: number;
  /** Diagonal from bottom left to top right, and from top left to bottom right. */
  readonly rising: number;
  readonly falling: number;
}

/** Rectangles along the axes of the display whose two diagonals were measured. */
export const rectanglesIn = (spans: readonly MeasuredLength[]): Rectangle[] => {
  const edges = edgesOf(spans);
  const nameAt = new Map<string, string>();
  for (const { names, from, to } of spans) {
    if (!names) continue;
    nameAt.set(pointKey(from), names[0]);
    nameAt.set(pointKey(to), names[1]);
  }
  const lengthOf = (p: Point, q: Point): number | undefined =>
    edges.get(pointKey(p))?.get(pointKey(q))?.length;
  const seen = new Set<string>();
  return spans.flatMap(({ from, to }): Rectangle[] => {
    const [left, right] = [Math.min(from.x, to.x), Math.max(from.x, to.x)];
    const [low, high] = [Math.min(from.y, to.y), Math.max(from.y, to.y)];
    const key = [left, right, low, high].join(' ');
    if (left === right || low === high || seen.has(key)) return [];
    const corners = [
      { x: left, y: low },
      { x: right, y: low },
      { x: right, y: high },
      { x: left, y: high },
    ] as const;
    const [a, b, c, d] = corners;
    const rising = lengthOf(a, c);
    const falling = lengthOf(b, d);
    if (rising === undefined || falling === undefined) return [];
    seen.add(key);
    const meanOf = (sides: readonly (number | undefined)[], otherwise: number): number => {
      const known = sides.filter((side) => side !== undefined);
      return known.length === 0 ? otherwise : known.reduce((x, y) => x + y, 0) / known.length;
    };
    const names = corners.flatMap((p) => nameAt.get(pointKey(p)) ?? []);
    return [
      {
        ...(names.length === 4 ? { names } : {}),
        width: meanOf([lengthOf(a, b), lengthOf(d, c)], right - left),
        height: meanOf([lengthOf(a, d), lengthOf(b, c)], high - low),
        rising,
        falling,
      },
    ];
  });
};
