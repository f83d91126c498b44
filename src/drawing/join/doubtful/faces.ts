/** Outlines side by side, each drawn in full: their common edges are drawn twice. */

import { derivativeAt, reversed, type Segment } from '../../../geometry/curve.js';
import { signedArea } from '../../../geometry/measure.js';
import { distance, length } from '../../../geometry/point.js';
import { type Part, type Piece, type Run, segmentsOf } from './piece.js';

/** Directions nearer than this, radians, leave it open which line lies to the left. */
const sameDirection = 1e-6;

/** Further copies of a piece, drawn over it. */
export type Copies = ReadonlyMap<Piece, readonly Piece[]>;

/** A run in one of its two directions. */
interface Side {
  readonly run: number;
  readonly forward: boolean;
  readonly angle: number;
}

/**
 * The faces of a network in the plane, if every run is drawn as often as it has a face beside it:
 * then each face is an outline with edges of its own. Undefined where that is not so, or where the
 * lines cross or touch between their ends.
 *
 * @param runs one block of a network
 */
export const facesOf = (runs: readonly Run[], copies: Copies): Part[][] | undefined => {
  const times = runs.map(({ parts }) =>
    Math.min(...parts.map(({ piece }) => 1 + (copies.get(piece)?.length ?? 0))),
  );
  if (times.every((n) => n === 1)) return undefined;
  const around = sidesAround(runs);
  if (around === undefined) return undefined;
  const faces = tracedFaces(runs, around);
  const outer = faces.filter(({ area }) => area < 0);
  const inner = faces.filter(({ area }) => area > 0);
  // Euler: a connected network in the plane has as many faces; one that crosses itself has fewer.
  if (outer.length !== 1 || faces.length !== runs.length - around.size + 2) return undefined;
  const sum = inner.reduce((total, { area }) => total + area, 0);
  if (Math.abs(sum + outer[0]!.area) > 1e-6 * sum) return undefined;
  const uses = new Array<number>(runs.length).fill(0);
  for (const { sides } of inner) for (const { run } of sides) uses[run]! += 1;
  if (uses.some((n, run) => n !== times[run])) return undefined;

  const handedOut = new Array<number>(runs.length).fill(0);
  const byOrder = inner.map(({ sides }) => ({ sides, first: firstOwn(sides, runs, times) }));
  byOrder.sort((a, b) => a.first - b.first);
  return byOrder.map(({ sides }) =>
    sides.flatMap(({ run, forward }) => {
      const copy = handedOut[run]!;
      handedOut[run] = copy + 1;
      const parts = runs[run]!.parts.map((part) => copyOf(part, copy, copies));
      return forward ? parts : parts.reverse().map(({ piece, backward }) => ({ piece, backward: !backward }));
    }),
  );
};

/** Order in the file of the first line that no other face has. */
const firstOwn = (sides: readonly Side[], runs: readonly Run[], times: readonly number[]): number => {
  const order = (wanted: (n: number) => boolean): number =>
    Math.min(
      ...sides
        .filter(({ run }) => wanted(times[run]!))
        .flatMap(({ run }) => runs[run]!.parts.map(({ piece }) => piece.order)),
    );
  const own = order((n) => n === 1);
  return Number.isFinite(own) ? own : order(() => true);
};

const copyOf = (part: Part, number: number, copies: Copies): Part => {
  if (number === 0) return part;
  const copy = copies.get(part.piece)![number - 1]!;
  const sameWay = distance(copy.from, part.piece.from) <= distance(copy.to, part.piece.from);
  return { piece: copy, backward: sameWay ? part.backward : !part.backward };
};

/**
 * The runs that leave each place, counter-clockwise; undefined where two leave in the same
 * direction.
 */
const sidesAround = (runs: readonly Run[]): Map<number, Side[]> | undefined => {
  const around = new Map<number, Side[]>();
  const add = (place: number, side: Side): void => {
    const known = around.get(place);
    if (known === undefined) around.set(place, [side]);
    else known.push(side);
  };
  for (const [run, { parts, from, to }] of runs.entries()) {
    const first = segmentsOf(parts[0]!)[0]!;
    const last = segmentsOf(parts.at(-1)!).at(-1)!;
    const [out, back] = [departure(first), departure(reversed(last))];
    if (out === undefined || back === undefined) return undefined;
    add(from, { run, forward: true, angle: out });
    add(to, { run, forward: false, angle: back });
  }
  for (const sides of around.values()) {
    sides.sort((a, b) => a.angle - b.angle);
    for (const [i, { angle }] of sides.entries()) {
      const next = sides[i + 1]?.angle ?? sides[0]!.angle + 2 * Math.PI;
      if (next - angle < sameDirection) return undefined;
    }
  }
  return around;
};

const departure = (s: Segment): number | undefined => {
  const { x, y } = derivativeAt(s, 0);
  return length({ x, y }) > 0 ? Math.atan2(y, x) : undefined;
};

interface Face {
  readonly sides: readonly Side[];
  /** Positive where the face lies within its boundary. */
  readonly area: number;
}

/**
 * Every side once, with the face on its left: at each place the next one clockwise from where the
 * way came.
 */
const tracedFaces = (runs: readonly Run[], around: ReadonlyMap<number, readonly Side[]>): Face[] => {
  const following = new Map<string, Side>();
  const key = (run: number, forward: boolean): string => `${run}${forward ? '+' : '-'}`;
  for (const sides of around.values()) {
    for (const [i, { run, forward }] of sides.entries()) {
      following.set(key(run, !forward), sides[(i + sides.length - 1) % sides.length]!);
    }
  }
  const faces: Face[] = [];
  const seen = new Set<string>();
  for (const sides of around.values()) {
    for (const start of sides) {
      if (seen.has(key(start.run, start.forward))) continue;
      const face: Side[] = [];
      let side = start;
      do {
        seen.add(key(side.run, side.forward));
        face.push(side);
        side = following.get(key(side.run, side.forward))!;
      } while (side !== start && !seen.has(key(side.run, side.forward)));
      const segments = face.flatMap(({ run, forward }) => {
        const drawn = runs[run]!.parts.flatMap(segmentsOf);
        return forward ? drawn : drawn.reverse().map(reversed);
      });
      faces.push({ sides: face, area: signedArea({ segments, closed: true }) });
    }
  }
  return faces;
};
