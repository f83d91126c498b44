import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { LiveBoxes } from '../../src/geometry/boxes/live-boxes.js';

const side = fc.integer({ min: 0, max: 60 });
const box = fc.tuple(side, side, fc.integer({ min: 0, max: 9 }), fc.integer({ min: 0, max: 9 }));

describe('boxes of which some are live', () => {
  it('finds the live ones that meet a box, whatever has entered and left', () => {
    fc.assert(
      fc.property(
        fc.array(box, { maxLength: 400 }),
        fc.array(fc.nat({ max: 399 }), { maxLength: 600 }),
        box,
        (boxes, changes, [x, y, width, height]) => {
          const index = new LiveBoxes(boxes.length);
          for (const [minX, minY, w, h] of boxes) index.add(minX, minY, minX + w, minY + h);
          index.finish();
          const live = new Set<number>();
          for (const change of changes) {
            if (change >= boxes.length) continue;
            if (live.delete(change)) index.leave(change);
            else {
              live.add(change);
              index.enter(change);
            }
          }
          const found: number[] = [];
          index.search(x, y, x + width, y + height, (i) => {
            found.push(i);
            return false;
          });
          const meets = (i: number): boolean => {
            const [minX, minY, w, h] = boxes[i]!;
            return minX <= x + width && minX + w >= x && minY <= y + height && minY + h >= y;
          };
          expect(found.sort((a, b) => a - b)).toEqual([...live].filter(meets).sort((a, b) => a - b));
        },
      ),
      { seed: 20261201, numRuns: 200 },
    );
  });
});
