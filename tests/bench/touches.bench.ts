/** A part found by 8 touches on an outline of 200 pieces, and refined from a placement that is known. */
import { bench, describe } from 'vitest';
import { adjust } from '../../src/fit/adjust.js';
import { createRandom } from '../../src/numeric/random.js';
import { edgeOf, placement, reading, spreadShares, touchesAlong, wavy } from '../fit/touch-scenes.js';

describe('8 touches on an outline of 200 pieces', () => {
  const random = createRandom('bench');
  const edge = edgeOf('outline', wavy(random, 200, 0.1));
  const truth = placement(2);
  const touches = touchesAlong(edge, spreadShares(8, random), (at) => reading(truth, at, random, 0.1));
  const options = { model: 'rigid', readingSd: 0.1, markSd: 0 } as const;
  const found = adjust([], options, touches);
  if (!found.ok) throw new Error(found.failure.reason);

  bench('refined from a known placement', () => {
    adjust([], options, touches, { near: found.fit });
  });
  bench('found from nothing', () => {
    adjust([], options, touches);
  });
});
