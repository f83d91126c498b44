import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { meetingBoxes } from '../../src/geometry/boxes/meeting-boxes.js';

const place = fc.integer({ min: 0, max: 40 });
const box = fc.tuple(place, place, fc.integer({ min: 0, max: 6 }), fc.integer({ min: 0, max: 6 }));

describe('boxes that meet', () => {
  it('are found each pair once and in order, touching ones and those without width too', () => {
    fc.assert(
      fc.property(fc.array(box, { minLength: 1, maxLength: 60 }), (drawn) => {
        const boxes = Float64Array.from(drawn.flatMap(([x, y, w, h]) => [x, y, x + w, y + h]));
        const found = meetingBoxes(boxes, drawn.length, (i, k) => (i + k) % 3 > 0);
        const expected: [number, number][] = [];
        for (let i = 0; i < drawn.length; i += 1) {
          for (let k = i + 1; k < drawn.length; k += 1) {
            const meet = [0, 1].every(
              (side) =>
                boxes[4 * i + side]! <= boxes[4 * k + side + 2]! &&
                boxes[4 * k + side]! <= boxes[4 * i + side + 2]!,
            );
            if (meet && (i + k) % 3 > 0) expected.push([i, k]);
          }
        }
        if (found !== undefined) expect(found).toEqual(expected);
      }),
      { seed: 5, numRuns: 300 },
    );
  });

  it('of thousands side by side are found, and of thousands on one another it is left to others', () => {
    const many = 4000;
    const rows = Float64Array.from({ length: 4 * many }, (_, n) => {
      const [i, side] = [Math.floor(n / 4), n % 4];
      const at = side % 2 === 0 ? i % 60 : Math.floor(i / 60);
      return 10 * at + (side > 1 ? 6 : 0);
    });
    expect(meetingBoxes(rows, many, () => true)).toEqual([]);
    rows[2] = 12;
    expect(meetingBoxes(rows, many, () => true)).toEqual([[0, 1]]);
    const heap = Float64Array.from({ length: 4 * many }, (_, n) => (n % 4 > 1 ? 100 : 0));
    expect(meetingBoxes(heap, many, () => true)).toBeUndefined();
  });
});
