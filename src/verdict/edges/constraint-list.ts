/** Constraints of many openings as they come, in columns; see edge.ts for what they are. */
import { lossInCut } from '../risk/cut-loss.js';

/** Constraints in a block, unless one opening has more of them one after the other. */
const blockSize = 1 << 15;

/** Columns that several openings share. */
interface Block {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly normalX: Float64Array;
  readonly normalY: Float64Array;
  /** Made for the first constraint whose room is not the clearance. */
  room?: { readonly gain: Float64Array; readonly extra: Float64Array };
  readonly loss?: Float64Array;
}

/** Of one opening, as in `Edge`. */
export interface Constraints {
  readonly x: Float64Array;
  readonly y: Float64Array;
  readonly normalX: Float64Array;
  readonly normalY: Float64Array;
  readonly room?: { readonly gain: Float64Array; readonly extra: Float64Array };
  readonly loss?: Float64Array;
}

/** Constraints from..to-1 of a block: of one opening, one after the other. */
interface Run {
  readonly block: Block;
  readonly from: number;
  readonly to: number;
}

export class ConstraintList {
  private block: Block;
  private from = 0;
  private end = 0;
  private owner = -1;
  /** Of nearly every opening there is one run. */
  private readonly runs: Run[][];
  /** 1: the room of one of the opening's constraints is not the clearance. */
  private readonly hasRoom: Uint8Array;

  /** @param cutReversal lost motion in the cut, mm per axis; absent: none */
  constructor(
    openings: number,
    private readonly cutReversal: readonly [number, number] | undefined,
  ) {
    this.hasRoom = new Uint8Array(openings);
    this.runs = Array.from({ length: openings }, () => []);
    this.block = this.newBlock(256);
  }

  add(
    owner: number,
    x: number,
    y: number,
    nx: number,
    ny: number,
    gain: number,
    extra: number,
    isSmooth: boolean,
  ): void {
    if (owner !== this.owner) {
      this.endRun();
      this.owner = owner;
    }
    if (this.end === this.block.x.length) this.nextBlock();
    const { block, end } = this;
    block.x[end] = x;
    block.y[end] = y;
    block.normalX[end] = nx;
    block.normalY[end] = ny;
    if (gain !== 1 || extra !== 0) {
      this.hasRoom[owner] = 1;
      block.room ??= newRoom(block.x.length);
    }
    if (block.room !== undefined) {
      block.room.gain[end] = gain;
      block.room.extra[end] = extra;
    }
    if (this.cutReversal !== undefined) block.loss![end] = lossInCut(this.cutReversal, nx, ny, isSmooth);
    this.end = end + 1;
  }

  /** All of an opening, in the order they came; once all openings have theirs. */
  of(owner: number): Constraints {
    this.endRun();
    const runs = this.runs[owner]!;
    const column = (of: (block: Block) => Float64Array): Float64Array => joined(runs, of);
    return {
      x: column(({ x }) => x),
      y: column(({ y }) => y),
      normalX: column(({ normalX }) => normalX),
      normalY: column(({ normalY }) => normalY),
      ...(this.hasRoom[owner] === 1
        ? {
            room: {
              gain: column((block) => roomOf(block).gain),
              extra: column((block) => roomOf(block).extra),
            },
          }
        : {}),
      ...(this.cutReversal === undefined ? {} : { loss: column(({ loss }) => loss!) }),
    };
  }

  private endRun(): void {
    const { block, from, end, owner } = this;
    if (end > from) this.runs[owner]!.push({ block, from, to: end });
    this.from = end;
  }

  /** The run at hand goes on in the next block: a run lies in one. */
  private nextBlock(): void {
    const { block: before, from, end } = this;
    const own = end - from;
    const next = this.newBlock(Math.max(Math.min(2 * before.x.length, blockSize), 2 * own));
    const move = (column: Float64Array, into: Float64Array): void => into.set(column.subarray(from, end));
    move(before.x, next.x);
    move(before.y, next.y);
    move(before.normalX, next.normalX);
    move(before.normalY, next.normalY);
    if (before.loss !== undefined) move(before.loss, next.loss!);
    if (before.room !== undefined) {
      next.room = newRoom(next.x.length);
      move(before.room.gain, next.room.gain);
      move(before.room.extra, next.room.extra);
    }
    this.block = next;
    this.from = 0;
    this.end = own;
  }

  private newBlock(size: number): Block {
    const column = (): Float64Array => new Float64Array(size);
    return {
      x: column(),
      y: column(),
      normalX: column(),
      normalY: column(),
      ...(this.cutReversal === undefined ? {} : { loss: column() }),
    };
  }
}

const newRoom = (size: number): NonNullable<Block['room']> => ({
  gain: new Float64Array(size).fill(1),
  extra: new Float64Array(size),
});

const roomOf = (block: Block): NonNullable<Block['room']> => {
  block.room ??= newRoom(block.x.length);
  return block.room;
};

const joined = (runs: readonly Run[], of: (block: Block) => Float64Array): Float64Array => {
  const [only] = runs;
  if (only !== undefined && runs.length === 1) return of(only.block).subarray(only.from, only.to);
  const all = new Float64Array(runs.reduce((sum, { from, to }) => sum + to - from, 0));
  let at = 0;
  for (const { block, from, to } of runs) {
    all.set(of(block).subarray(from, to), at);
    at += to - from;
  }
  return all;
};
