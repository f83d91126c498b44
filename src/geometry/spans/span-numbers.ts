/** What a span is made of, and where its numbers are kept. */

/**
 * What a span stands for. A line or arc that was `drawn` as one stays what it is. The others may be fitted anew: a
 * stretch near a drawn `curve`, a part of an arc `bent` by the bed map, a `tip` that carries an arc on by its tangent to
 * the point of a mitred corner.
 */
export const origins = { curve: 0, drawn: 1, tip: 2, bent: 3 } as const;
export type Origin = (typeof origins)[keyof typeof origins];

/** Numbers that make up a span. */
export const spanSize = 9;

/**
 * A view on nine numbers of an array. A job makes a million spans; as objects with fields of their own, each number in
 * a box of its own, they would keep the garbage collector busier than the geometry keeps the processor.
 */
export class Span {
  constructor(
    private readonly numbers: Float64Array,
    private readonly at: number,
  ) {}

  get ax(): number {
    return this.numbers[this.at]!;
  }

  get ay(): number {
    return this.numbers[this.at + 1]!;
  }

  get bx(): number {
    return this.numbers[this.at + 2]!;
  }

  get by(): number {
    return this.numbers[this.at + 3]!;
  }

  /** 0 for a line. */
  get radius(): number {
    return this.numbers[this.at + 4]!;
  }

  get cx(): number {
    return this.numbers[this.at + 5]!;
  }

  get cy(): number {
    return this.numbers[this.at + 6]!;
  }

  /** Signed turn, counter-clockwise positive, radians; 0 for a line. */
  get sweep(): number {
    return this.numbers[this.at + 7]!;
  }

  get origin(): Origin {
    return this.numbers[this.at + 8]! as Origin;
  }

  /** Once, when the span is made. */
  set(
    ax: number,
    ay: number,
    bx: number,
    by: number,
    radius: number,
    cx: number,
    cy: number,
    sweep: number,
    origin: Origin,
  ): void {
    const { numbers, at } = this;
    numbers[at] = ax;
    numbers[at + 1] = ay;
    numbers[at + 2] = bx;
    numbers[at + 3] = by;
    numbers[at + 4] = radius;
    numbers[at + 5] = cx;
    numbers[at + 6] = cy;
    numbers[at + 7] = sweep;
    numbers[at + 8] = origin;
  }

  /** The same span from a start moved by less than anyone can see, or, for a line, by any distance. */
  startingAt(x: number, y: number): Span {
    return spanOf(x, y, this.bx, this.by, this.radius, this.cx, this.cy, this.sweep, this.origin);
  }

  /** The same span to an end moved likewise. */
  endingAt(x: number, y: number): Span {
    return spanOf(this.ax, this.ay, x, y, this.radius, this.cx, this.cy, this.sweep, this.origin);
  }

  /** The same span, standing for something else. */
  withOrigin(origin: Origin): Span {
    return spanOf(this.ax, this.ay, this.bx, this.by, this.radius, this.cx, this.cy, this.sweep, origin);
  }
}

/** Numbers in a block that spans share: a whole number of spans. */
const blockSize = spanSize << 11;

/** Of spans that last: the block in use, and how far. It is forgotten when it is full, and goes with its last span. */
let lasting = new Float64Array(blockSize);
let lastingTaken = 0;

/** Of passing spans: blocks that are used again and again. */
const passing: Float64Array[] = [];
let passingBlock = 0;
let passingTaken = 0;
let passingDepth = 0;

/** Does `work` and takes back the room of all spans made by it: none of them may be looked at afterwards. */
export const withPassingSpans = <Result>(work: () => Result): Result => {
  const block = passingBlock;
  const taken = passingTaken;
  passingDepth++;
  try {
    return work();
  } finally {
    passingDepth--;
    passingBlock = block;
    passingTaken = taken;
  }
};

const placeForLasting = (): Span => {
  if (lastingTaken === blockSize) {
    lasting = new Float64Array(blockSize);
    lastingTaken = 0;
  }
  lastingTaken += spanSize;
  return new Span(lasting, lastingTaken - spanSize);
};

const placeForPassing = (): Span => {
  if (passingTaken === blockSize) {
    passingBlock++;
    passingTaken = 0;
  }
  if (passingBlock === passing.length) passing.push(new Float64Array(blockSize));
  passingTaken += spanSize;
  return new Span(passing[passingBlock]!, passingTaken - spanSize);
};

/** A new span of these numbers, as named in `Span`. */
export const spanOf = (
  ax: number,
  ay: number,
  bx: number,
  by: number,
  radius: number,
  cx: number,
  cy: number,
  sweep: number,
  origin: Origin,
): Span => {
  const span = passingDepth > 0 ? placeForPassing() : placeForLasting();
  span.set(ax, ay, bx, by, radius, cx, cy, sweep, origin);
  return span;
};
