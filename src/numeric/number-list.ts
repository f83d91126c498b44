/** Numbers one after another, eight bytes each: a list that may grow to millions. */

/** Numbers are kept in blocks of this size, so that none has to be moved when more come. */
const blockBits = 16;
const blockSize = 1 << blockBits;
const blockMask = blockSize - 1;
const smallestBlock = 256;

export class NumberList {
  /** To be set to a smaller one to forget what comes behind. */
  length = 0;
  /** The first block grows, so that a short list stays small. */
  private readonly blocks: Float64Array[] = [new Float64Array(smallestBlock)];

  push(value: number): void {
    const place = this.length & blockMask;
    let block = this.blocks[this.length >> blockBits];
    if (block === undefined || place === block.length) block = this.more(block);
    block[place] = value;
    this.length += 1;
  }

  at(place: number): number {
    return this.blocks[place >> blockBits]![place & blockMask]!;
  }

  private more(block: Float64Array | undefined): Float64Array {
    const more = new Float64Array(block === undefined ? blockSize : 2 * block.length);
    if (block === undefined) this.blocks.push(more);
    else {
      more.set(block);
      this.blocks[this.blocks.length - 1] = more;
    }
    return more;
  }
}
