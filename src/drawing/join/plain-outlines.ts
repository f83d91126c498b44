/** Outlines about whose lines there is no doubt: those of most drawings, however many they are. */
import { endsOfPath, segmentsNow } from '../../geometry/curve-store.js';
import { IntList } from '../../numeric/int-list.js';
import { type LoneRings, loneRings } from './blocks.js';
import { encloses } from './encloses.js';
import type { LooseLines } from './loose-lines.js';
import { type Part, samePlace } from './piece.js';
import { Places } from './places.js';
import { sameRun } from './same-curve.js';

/** Outlines in columns, each as its lines end to end from the earliest one in the way that is drawn. */
export class PlainOutlines {
  /** 1 for each line that is part of one. */
  readonly isTaken: Uint8Array;
  /** The lines of each, one after another; below 0 those that run backward, counted from -1 down. */
  private readonly steps = new IntList();
  private readonly starts = new IntList();

  constructor(private readonly lines: LooseLines) {
    this.isTaken = new Uint8Array(lines.count);
  }

  get count(): number {
    return this.starts.length;
  }

  /** Takes lines for an outline if they go round something. */
  offer(steps: readonly number[]): void {
    const parts = steps.map((step) => this.part(step));
    if (parts.length === 2 && areTwins(parts)) return;
    if (!encloses(parts, samePlace)) return;
    this.starts.push(this.steps.length);
    for (const step of steps) {
      this.steps.push(step);
      this.isTaken[step < 0 ? ~step : step] = 1;
    }
  }

  partsOf(outline: number): Part[] {
    const end = outline + 1 < this.starts.length ? this.starts.at(outline + 1) : this.steps.length;
    const parts: Part[] = [];
    for (let k = this.starts.at(outline); k < end; k += 1) parts.push(this.part(this.steps.at(k)));
    return parts;
  }

  private part(step: number): Part {
    return { piece: this.lines.piece(step < 0 ? ~step : step), backward: step < 0 };
  }
}

/** Two lines between the same places that have the same course are one line drawn twice. */
const areTwins = (parts: readonly Part[]): boolean => {
  const [one, other] = parts.map(({ piece }) => segmentsNow(piece.path));
  return sameRun(one!, other!);
};

/**
 * The outlines whose lines meet end to end, in the same places, with nothing else there: each is a network by itself, so that
 * whatever else there is has no say in it. Of lines that begin and end in one place, those that are the only one there.
 */
export const plainOutlines = (lines: LooseLines): PlainOutlines => {
  const outlines = new PlainOutlines(lines);
  const places = new Places();
  const from = new Int32Array(lines.count);
  const to = new Int32Array(lines.count);
  for (let i = 0; i < lines.count; i += 1) {
    const ends = endsOfPath(lines.path(i));
    from[i] = places.at(ends.from);
    to[i] = places.at(ends.to);
  }
  const loops = new Uint8Array(places.count);
  for (let i = 0; i < lines.count; i += 1)
    if (from[i] === to[i]) loops[from[i]!] = loops[from[i]!] === 0 ? 1 : 2;
  for (let i = 0; i < lines.count; i += 1)
    if (from[i] === to[i] && loops[from[i]!] === 1) outlines.offer([i]);
  const rings = loneRings(places.count, from, to);
  for (let ring = 0; ring < rings.count; ring += 1) outlines.offer(inDrawnOrder(ring, rings, from, to));
  return outlines;
};

/** The lines of a ring as steps, the earliest first and in the way that it is drawn. */
const inDrawnOrder = (
  ring: number,
  { starts, edges }: LoneRings,
  from: Int32Array,
  to: Int32Array,
): readonly number[] => {
  const start = starts[ring]!;
  const size = starts[ring + 1]! - start;
  let first = 0;
  for (let k = 1; k < size; k += 1) if (edges[start + k]! < edges[start + first]!) first = k;
  const edge = edges[start + first]!;
  const after = edges[start + ((first + 1) % size)]!;
  const stride = from[after] === to[edge] || to[after] === to[edge] ? 1 : size - 1;
  const steps: number[] = [];
  let node = from[edge]!;
  for (let k = 0, at = first; k < size; k += 1, at = (at + stride) % size) {
    const next = edges[start + at]!;
    const forward = from[next] === node;
    steps.push(forward ? next : ~next);
    node = forward ? to[next]! : from[next]!;
  }
  return steps;
};
