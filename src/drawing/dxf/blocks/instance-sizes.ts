/** How much an INSERT comes to, worked out before anything of it is drawn. */

import type { InsertEntity } from '../entities.js';
import type { DxfBlock } from '../entity-list.js';

/**
 * Entities that blocks may add to any drawing, to one with very many entities of its own for each
 * of these, and to the largest.
 */
const atLeast = 200_000;
const forEach = 8;
const atMost = 1_350_000;

/**
 * Entities that blocks may add to a drawing of so many entities: a small file that comes to
 * hundreds of thousands of shapes is more likely to be damaged than meant; 25 MB of inserts come to
 * more than a million.
 */
export const mostInstances = (entities: number): number =>
  Math.min(atMost, Math.max(atLeast, forEach * entities));

/**
 * For an INSERT, whose block is looked up by the name as it spells it, the entities it draws,
 * inserts and what is left out included. Each block is counted once, however often and deep it is
 * drawn; what lies in a loop counts nothing, as it is refused when it is drawn.
 */
export const instanceSizes = (
  blockOf: (name: string) => DxfBlock | undefined,
): ((insert: InsertEntity) => number) => {
  const sizes = new Map<DxfBlock, number>();
  const sizeOf = (block: DxfBlock, depth: number): number => {
    const known = sizes.get(block);
    if (known !== undefined) return known;
    if (depth > deepest) return 0;
    sizes.set(block, 0);
    let size = 0;
    for (const entity of block.entities) size += entity.kind === 'insert' ? insertSize(entity, depth + 1) : 1;
    sizes.set(block, size);
    return size;
  };
  const insertSize = (insert: InsertEntity, depth: number): number => {
    const block = blockOf(insert.block);
    const columns = insert.spacing[0] === 0 ? 1 : insert.columns;
    const rows = insert.spacing[1] === 0 ? 1 : insert.rows;
    return 1 + columns * rows * (block === undefined ? 0 : sizeOf(block, depth));
  };
  return (insert) => insertSize(insert, 0);
};

/** Far beyond what is drawn, and far below what a call stack holds. */
const deepest = 200;
