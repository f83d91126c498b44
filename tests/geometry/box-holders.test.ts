import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { boxHolders, holdsBox } from '../../src/geometry/boxes/box-holders.js';

const bruteForce = (boxes: Float64Array, count: number): number[] => {
  const numbers = Array.from({ length: count }, (_, i) => i);
  return numbers.filter((i) => numbers.some((k) => holdsBox(boxes, i, k)));
};

describe('boxes that hold others', () => {
  it('are all found, and no others', () => {
    const side = fc.oneof(fc.integer({ min: 0, max: 12 }), fc.double({ min: 0, max: 12, noNaN: true }));
    let holding = 0;
    fc.assert(
      fc.property(
        fc.array(fc.tuple(side, side, side, side), { minLength: 2, maxLength: 40, size: 'max' }),
        (drawn) => {
          const boxes = Float64Array.from(drawn.flatMap(([x, y, w, h]) => [x, y, x + w / 2, y + h / 2]));
          const found = [...boxHolders(boxes, drawn.length)];
          expect(found).toEqual(bruteForce(boxes, drawn.length));
          holding += found.length;
        },
      ),
      { seed: 20261125, numRuns: 500 },
    );
    expect(holding).toBeGreaterThan(1000);
  });

  it('are few among many that lie side by side', () => {
    const many = 10_000;
    const boxes = new Float64Array(4 * many);
    for (let i = 0; i < many; i += 1) {
      const [x, y] = [3 * (i % 100), 3 * Math.floor(i / 100)];
      boxes.set([x, y, x + 1, y + 2], 4 * i);
    }
    expect([...boxHolders(boxes, many)]).toEqual([]);
    boxes.set([2.5, 2.5, 5, 6], 4 * 777);
    expect([...boxHolders(boxes, many)]).toEqual([777]);
  });

  it('are given up on where all cover each other and none holds another: then any may be one', () => {
    const many = 300;
    const boxes = new Float64Array(4 * many);
    for (let i = 0; i < many; i += 1) boxes.set([i, -i, 1000 + i, 1000 - i], 4 * i);
    expect(bruteForce(boxes, many)).toEqual([]);
    expect(boxHolders(boxes, many)).toHaveLength(many);
  });
});
