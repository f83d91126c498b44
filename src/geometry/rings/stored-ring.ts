/**
 * A ring between two steps of the cut, packed into numbers. Thousands of openings have hundreds of thousands of spans;
 * kept as objects they would be moved about by the garbage collector longer than they are worked on.
 */
import Flatbush from 'flatbush';
import type { Box } from '../point.js';
import {
  cosineOfTurn,
  origins,
  type Ring,
  ringArea,
  ringBox,
  Span,
  spanSize,
  writeHoldingBox,
} from '../spans/span.js';

/** Numbers in a block; rings share blocks, since each array of its own would cost the collector a look. */
const blockSize = 1 << 16;

interface Room {
  readonly data: Float64Array;
  readonly start: number;
}

/** Of rings that last: the block in use, and how far. */
let lasting = new Float64Array(0);
let lastingTaken = 0;

const lastingRoom = (size: number): Room => {
  if (lastingTaken + size > lasting.length) {
    lasting = new Float64Array(Math.max(blockSize, size));
    lastingTaken = 0;
  }
  lastingTaken += size;
  return { data: lasting, start: lastingTaken - size };
};

/** Of passing rings: blocks that are used again and again, for a system gives out no memory as fast as it is reckoned with. */
const passing: Float64Array[] = [];
let passingBlock = 0;
let passingTaken = 0;
let passingDepth = 0;
/** Blocks kept for the next time. */
const blocksKept = 8;

const passingRoom = (size: number): Room => {
  while (passingBlock < passing.length && passingTaken + size > passing[passingBlock]!.length) {
    passingBlock++;
    passingTaken = 0;
  }
  if (passingBlock === passing.length) passing.push(new Float64Array(Math.max(blockSize, size)));
  passingTaken += size;
  return { data: passing[passingBlock]!, start: passingTaken - size };
};

/** Does `work` and takes back the room of all rings stored by it that are not said to last: none of them may be looked at afterwards. */
export const withPassingRings = <Result>(work: () => Result): Result => {
  const block = passingBlock;
  const taken = passingTaken;
  passingDepth++;
  try {
    return work();
  } finally {
    passingDepth--;
    passingBlock = block;
    passingTaken = taken;
    if (passingDepth === 0 && passing.length > blocksKept) passing.length = blocksKept;
  }
};

export interface StoredAs {
  /** It is to run counter-clockwise, whichever way it comes. */
  readonly turned?: boolean;
  /** It outlives the `withPassingRings` it is stored in. */
  readonly lasts?: boolean;
}

/** A ring of more spans is given an index when it is asked for the third time. */
const manySpans = 256;
const fewQuestions = 2;

export class StoredRing {
  readonly box: Box;
  /** mm^2, positive when it runs counter-clockwise. */
  readonly area: number;
  private readonly data: Float64Array;
  private readonly start: number;
  private readonly end: number;
  private tree: Flatbush | undefined;
  private questions = 0;

  constructor(ring: Ring, { turned = false, lasts = false }: StoredAs = {}) {
    const area = ringArea(ring);
    const backwards = turned && area < 0;
    this.box = ringBox(ring);
    this.area = backwards ? -area : area;
    const n = ring.length;
    const room = passingDepth > 0 && !lasts ? passingRoom : lastingRoom;
    const { data: d, start } = room(n * spanSize);
    for (let k = 0; k < n; k++) {
      const s = ring[k]!;
      const i = start + (backwards ? n - 1 - k : k) * spanSize;
      d[i] = backwards ? s.bx : s.ax;
      d[i + 1] = backwards ? s.by : s.ay;
      d[i + 2] = backwards ? s.ax : s.bx;
      d[i + 3] = backwards ? s.ay : s.by;
      d[i + 4] = s.radius;
      d[i + 5] = s.cx;
      d[i + 6] = s.cy;
      d[i + 7] = backwards && s.sweep !== 0 ? -s.sweep : s.sweep;
      d[i + 8] = s.origin;
    }
    this.data = d;
    this.start = start;
    this.end = start + n * spanSize;
  }

  /** mm */
  length(): number {
    const d = this.data;
    let sum = 0;
    for (let i = this.start; i < this.end; i += spanSize) {
      const radius = d[i + 4]!;
      sum +=
        radius === 0 ? Math.hypot(d[i + 2]! - d[i]!, d[i + 3]! - d[i + 1]!) : radius * Math.abs(d[i + 7]!);
    }
    return sum;
  }

  /** Number of its spans. */
  get count(): number {
    return (this.end - this.start) / spanSize;
  }

  /** The ring as spans: views on what is stored. */
  spans(): Ring {
    const ring: Span[] = [];
    for (let i = this.start; i < this.end; i += spanSize) ring.push(this.spanAt(i));
    return ring;
  }

  /** Those of its spans that may come within `reach` mm of a box. */
  spansNear(box: Box, reach: number): Span[] {
    const d = this.data;
    const near: Span[] = [];
    if (this.count > manySpans && ++this.questions > fewQuestions) {
      this.tree ??= this.treeOfSpans();
      const found = this.tree.search(box.minX - reach, box.minY - reach, box.maxX + reach, box.maxY + reach);
      for (const i of found.sort((p, q) => p - q)) near.push(this.spanAt(this.start + i * spanSize));
      return near;
    }
    for (let i = this.start; i < this.end; i += spanSize) {
      // No point of an arc is farther from both its ends than half its length.
      const room = reach + (d[i + 4]! * Math.abs(d[i + 7]!)) / 2;
      if (Math.min(d[i]!, d[i + 2]!) - room > box.maxX || Math.max(d[i]!, d[i + 2]!) + room < box.minX)
        continue;
      if (Math.min(d[i + 1]!, d[i + 3]!) - room > box.maxY) continue;
      if (Math.max(d[i + 1]!, d[i + 3]!) + room < box.minY) continue;
      near.push(this.spanAt(i));
    }
    return near;
  }

  /** Of boxes that hold the spans. */
  private treeOfSpans(): Flatbush {
    const tree = new Flatbush(this.count);
    const box = new Float64Array(4);
    for (let i = this.start; i < this.end; i += spanSize) {
      writeHoldingBox(this.spanAt(i), 0, box, 0);
      tree.add(box[0]!, box[1]!, box[2]!, box[3]!);
    }
    tree.finish();
    return tree;
  }

  /** Cosine of the sharpest turn between neighbours of which one at least stands for a curve; 1 for none. */
  cosineOfSharpestTurn(): number {
    let least = 1;
    let before = this.spanAt(this.end - spanSize);
    for (let i = this.start; i < this.end; i += spanSize) {
      const span = this.spanAt(i);
      if (before.origin === origins.curve || span.origin === origins.curve) {
        least = Math.min(least, cosineOfTurn(before, span));
      }
      before = span;
    }
    return least;
  }

  /** The first span, for a point of the ring. */
  first(): Span {
    return this.spanAt(this.start);
  }

  private spanAt(i: number): Span {
    return new Span(this.data, i);
  }
}
