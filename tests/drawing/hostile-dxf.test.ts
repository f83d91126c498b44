import { describe, expect, it } from 'vitest';
import { attempt, faultOf, mutated, sources } from './mutations/dxf.js';

describe('any DXF file at all', () => {
  it('that these are made from is sound itself', () => {
    for (const source of sources) {
      const drawing = attempt(source);
      expect(drawing?.shapes).toHaveLength(9 + 2 * 3 * 4);
      expect(faultOf(drawing!)).toBeUndefined();
    }
  });

  it('with random mistakes is read or refused, and never gives a number that is none or an empty drawing', () => {
    let read = 0;
    let refused = 0;
    for (let index = 0; index < 500; index += 1) {
      const bytes = mutated(index);
      const drawing = attempt(bytes);
      if (drawing === undefined) refused += 1;
      else {
        read += 1;
        expect(faultOf(drawing), `file ${index}`).toBeUndefined();
      }
    }
    // Both ends of the road are travelled.
    expect(read).toBeGreaterThan(50);
    expect(refused).toBeGreaterThan(50);
  });

  it('with numbers that overflow in its maps is told so, not given a size that is no number', () => {
    const huge = mutated(900);
    expect(() => attempt(huge)).not.toThrow();
    expect(attempt(huge)).toBeUndefined();
  });

  it('of random bytes behind a true beginning is refused', () => {
    for (const source of sources) {
      for (let index = 0; index < 50; index += 1) {
        const noise = mutated(index).map((byte, i) => (byte * 31 + i * 7) & 0xff);
        const bytes = Uint8Array.from([...source.subarray(0, 60), ...noise]);
        expect(attempt(bytes)).toBeUndefined();
      }
    }
  });
});
