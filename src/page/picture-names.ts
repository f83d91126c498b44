/** Names in the picture, each where it lies on no other name and on no sign. */
import type { Box, Point } from '../index.js';
import { escaped } from './text.js';

export interface Name {
  readonly text: string;
  /** Picture units. */
  readonly size: number;
  /** Of what stands at its place: how far it keeps from that. */
  readonly radius: number;
  readonly at: Point;
  readonly class: 'of-mark' | 'of-place' | 'of-opening';
  /** The name may stand on its place itself. */
  readonly onPlace?: boolean;
}

const longest = 24;
/** The width of an average bold letter, in its size; a little too wide, so that nothing is cut off. */
const letter = 0.66;

/** Places names one after the other, and knows how far they reach. */
export class Names {
  private readonly taken: Box[];
  private readonly placed: string[] = [];
  private readonly boxes: Box[] = [];

  /**
   * @param taken what no name may lie on
   * @param lines points of what it had better not lie on
   */
  constructor(
    taken: readonly Box[],
    private readonly lines: readonly Point[],
  ) {
    this.taken = [...taken];
  }

  /** @returns whether there was room */
  place(name: Name, spots: readonly Spot[] = around): boolean {
    const free = (name.onPlace ? [middle, ...spots] : spots).filter((spot) => this.isFree(boxAt(name, spot)));
    const best = free.find((spot) => this.isClear(boxAt(name, spot))) ?? free[0];
    if (best !== undefined) this.write(name, best);
    return best !== undefined;
  }

  /** On a place that may lie on others, where there is no other. */
  insist(name: Name, spots: readonly Spot[] = around): void {
    if (!this.place(name, spots)) this.write(name, spots[0]!);
  }

  /** Everything written so far. */
  get reach(): readonly Box[] {
    return this.boxes;
  }

  toString(): string {
    return this.placed.join('');
  }

  private isFree(box: Box): boolean {
    return !this.taken.some(
      (other) =>
        box.minX < other.maxX && other.minX < box.maxX && box.minY < other.maxY && other.minY < box.maxY,
    );
  }

  private isClear({ minX, minY, maxX, maxY }: Box): boolean {
    return !this.lines.some(({ x, y }) => x > minX && x < maxX && y > minY && y < maxY);
  }

  private write(name: Name, spot: Spot): void {
    const box = boxAt(name, spot);
    this.taken.push(box);
    this.boxes.push(box);
    const x = (spot.x > 0.5 ? box.minX : spot.x < -0.5 ? box.maxX : (box.minX + box.maxX) / 2).toFixed(3);
    const y = (box.maxY - 0.26 * name.size).toFixed(3);
    const anchor = spot.x > 0.5 ? 'start' : spot.x < -0.5 ? 'end' : 'middle';
    this.placed.push(
      `<text class="${name.class}" x="${x}" y="${y}" text-anchor="${anchor}" font-size="${name.size.toFixed(3)}">${escaped(shortened(name.text))}</text>`,
    );
  }
}

/** Where a name stands to its place: to the left or right, above or below; y down. */
export type Spot = Point;

const middle: Spot = { x: 0, y: 0 };
export const rightFirst: readonly Spot[] = [
  { x: 1, y: 0 },
  { x: 1, y: -0.7 },
  { x: 1, y: 0.7 },
  { x: 0, y: -1 },
  { x: 0, y: 1 },
  { x: -1, y: 0 },
  { x: -1, y: -0.7 },
  { x: -1, y: 0.7 },
];
export const leftFirst: readonly Spot[] = rightFirst.map(({ x, y }) => ({ x: -x, y }));
const around = rightFirst;

const boxAt = ({ text, size, radius, at }: Name, spot: Spot): Box => {
  const width = letter * size * shortened(text).length;
  const height = 1.2 * size;
  const x = at.x + spot.x * (radius + 0.25 * size + width / 2);
  const y = at.y + spot.y * (radius + height / 2);
  return { minX: x - width / 2, maxX: x + width / 2, minY: y - height / 2, maxY: y + height / 2 };
};

const shortened = (text: string): string => {
  const letters = [...text];
  return letters.length > longest ? `${letters.slice(0, longest - 1).join('')}…` : text;
};
