/** Outlines about whose lines there is no doubt: those of most drawings, however many they are. */

import { distance, type Point } from '../../../geometry/point.js';
import { endsOfPath, segmentsNow } from '../../../geometry/stored-path.js';
import { IntList } from '../../../numeric/int-list.js';
import { type SeparateRings, separateRings } from '../doubtful/blocks.js';
import { type Part, samePlace } from '../doubtful/piece.js';
import { sameRun } from '../doubtful/same-curve.js';
import { encloses, isShort, leastTurns } from '../encloses.js';
import type { Lines, LooseLines } from './loose-lines.js';
import { mergeNear, Places } from './places.js';

/**
 * Outlines in columns, each as its lines end to end from the earliest one in the way that is drawn.
 */
export class PlainOutlines {
  /** 1 for each line that is part of one. */
  readonly isTaken: Uint8Array;
  /**
   * The lines of each, one after another; below 0 those that run backward, counted from -1 down.
   */
  private readonly steps = new IntList();
  private readonly starts = new IntList();

  constructor(private readonly lines: LooseLines) {
    this.isTaken = new Uint8Array(lines.count);
  }

  get count(): number {
    return this.starts.length;
  }

  /**
   * Takes lines for an outline if they go round something.
   * @param gap the largest between ends that meet, mm
   */
  offer(steps: readonly number[], gap: number): void {
    const parts = steps.map((step) => this.part(step));
    if (parts.length === 2 && areTwins(parts)) return;
    if (gap > samePlace && isShort(parts, leastTurns * gap)) return;
    if (!encloses(parts, gap)) return;
    this.starts.push(this.steps.length);
    for (const step of steps) {
      this.steps.push(step);
      this.isTaken[step < 0 ? ~step : step] = 1;
    }
  }

  /** The lines of an outline, end to end. */
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

/** The places where lines begin and end, by the number of each line. */
export interface LineEnds {
  readonly places: Places;
  readonly from: Int32Array;
  readonly to: Int32Array;
}

export const endsOfLines = (lines: Lines): LineEnds => {
  const places = new Places(lines.count);
  const from = new Int32Array(lines.count);
  const to = new Int32Array(lines.count);
  for (let i = 0; i < lines.count; i += 1) {
    const ends = endsOfPath(lines.path(i));
    from[i] = places.at(ends.from);
    to[i] = places.at(ends.to);
  }
  return { places, from, to };
};

/**
 * Takes the outlines whose lines meet end to end, in the same places, with nothing else there: each
 * is a network by itself, so that whatever else there is has no say in it. Of lines that begin and
 * end in one place, those that are the only one there.
 */
export const takeExact = (outlines: PlainOutlines, { places, from, to }: LineEnds): void => {
  const loops = new Uint8Array(places.count);
  for (let i = 0; i < from.length; i += 1) {
    if (from[i] === to[i]) loops[from[i]!] = loops[from[i]!] === 0 ? 1 : 2;
  }
  for (let i = 0; i < from.length; i += 1) {
    if (from[i] === to[i] && loops[from[i]!] === 1) outlines.offer([i], samePlace);
  }
  const rings = separateRings(places.count, from, to);
  for (let ring = 0; ring < rings.count; ring += 1) {
    outlines.offer(inDrawnOrder(ring, rings, from, to), samePlace);
  }
};

/**
 * Takes the outlines whose lines meet within `reach`, again with nothing else there.
 * @param some numbers of lines: all that may meet another one or themselves
 */
export const takeNear = (outlines: PlainOutlines, ends: LineEnds, some: Int32Array, reach: number): void => {
  const own = { from: some.map((i) => ends.from[i]!), to: some.map((i) => ends.to[i]!) };
  const at = (place: number): Point => ends.places.point(place);
  const jointOf = mergeNear(at, endsOfChains(ends.places.count, own.from, own.to), [], reach);
  if (jointOf === undefined) return;
  const from = own.from.map(jointOf);
  const to = own.to.map(jointOf);
  const lineAt = (step: number): number => (step < 0 ? ~some[~step]! : some[step]!);
  const met = new Uint8Array(ends.places.count);
  const isMarked = new Uint8Array(ends.places.count);
  for (let k = 0; k < some.length; k += 1) {
    for (const joint of [from[k]!, to[k]!]) met[joint] = Math.min(3, met[joint]! + 1);
    // A line that must not shrink to nothing is a case for closer examination, with all that meets
    // it.
    if (distance(at(own.from[k]!), at(own.to[k]!)) <= reach) isMarked[from[k]!] = isMarked[to[k]!] = 1;
  }
  for (let k = 0; k < some.length; k += 1) {
    if (from[k] === to[k] && met[from[k]!] === 2) outlines.offer([some[k]!], reach);
  }
  const rings = separateRings(ends.places.count, from, to);
  for (let ring = 0; ring < rings.count; ring += 1) {
    const steps = inDrawnOrder(ring, rings, from, to);
    if (steps.some((step) => isMarked[from[step < 0 ? ~step : step]!] === 1)) continue;
    outlines.offer(steps.map(lineAt), reach);
  }
};

/**
 * The places where something else than two lines meets, each once, in the order in which they come.
 */
const endsOfChains = (places: number, from: Int32Array, to: Int32Array): Int32Array => {
  const degree = new Uint8Array(places);
  for (let k = 0; k < from.length; k += 1) {
    const more = from[k] === to[k] ? 3 : 1;
    for (const place of [from[k]!, to[k]!]) degree[place] = Math.min(3, degree[place]! + more);
  }
  const found = new IntList();
  for (let k = 0; k < from.length; k += 1) {
    for (const place of [from[k]!, to[k]!]) {
      if (degree[place] === 2 || degree[place] === 0) continue;
      found.push(place);
      degree[place] = 0;
    }
  }
  return found.toArray();
};

/** The lines of a ring as steps, the earliest first and in the way that it is drawn. */
const inDrawnOrder = (
  ring: number,
  { starts, edges }: SeparateRings,
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
