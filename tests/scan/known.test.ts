import { describe, expect, it } from 'vitest';
import type { Arc } from '../../src/geometry/curve.js';
import { createRandom } from '../../src/numeric/random.js';
import { knownScale, readKnownLength } from '../../src/scan/known.js';
import { type Scan, scanPicture, usualSmallest } from '../../src/scan/scan.js';
import { segmentsOf } from '../../src/scan/scan-drawing.js';
import { circleLoop, rendered } from './rendered.js';

const density = 600 / 25.4;
/** Seen by a scanner that draws across and down out by these shares. */
const stretched = (
  x: number,
  y: number,
): { scan: Scan; again: (known: ReturnType<typeof knownScale>) => Scan } => {
  const loops = [
    circleLoop(4, 4, 1.5),
    circleLoop(26, 4, 1.5),
    circleLoop(26, 20, 1.5),
    circleLoop(4, 20, 1.5),
    circleLoop(15, 12, 6),
  ];
  const picture = rendered(loops, {
    width: 30,
    height: 24,
    density: density * (1 + x),
    densityY: density * (1 + y),
  });
  const pixel = { x: 1 / density, y: 1 / density };
  const scan = (settings = {}) =>
    scanPicture(picture, pixel, { smallest: usualSmallest, ...settings }, 'a.png');
  return { scan: scan(), again: (known) => scan({ known }) };
};

describe('a scale from known lengths', () => {
  it('one length corrects both axes alike', () => {
    const { scan, again } = stretched(0.002, 0.002);
    const known = knownScale(scan, [readKnownLength('4,4 26,20 = 27.203 +- 0.002')], 'a.png');
    expect(known.unknowns).toBe(1);
    expect(known.x).toBeCloseTo(-0.002, 3);
    expect(Math.abs(known.x + 0.00199601)).toBeLessThan(3 * known.sd.x);
    const corrected = again(known);
    const radii = corrected.edges.map((edge) => (segmentsOf(corrected, edge)[0] as Arc).radius);
    expect(Math.max(...radii)).toBeCloseTo(6, 2);
  });

  it('lengths along both axes correct each, and a circle that looked oval is one', () => {
    const { scan, again } = stretched(0.003, -0.001);
    const known = knownScale(
      scan,
      [
        readKnownLength('4,4 26,4 = 22 +- 0.002'),
        readKnownLength('4,4 4,20=16 +- 0.002'),
        readKnownLength('26.1,4 25.9,20 = 16 +- 0.002'),
      ],
      'a.png',
    );
    expect(known.unknowns).toBe(2);
    expect(known.x).toBeCloseTo(1 / 1.003 - 1, 3);
    expect(known.y).toBeCloseTo(1 / 0.999 - 1, 3);
    expect(known.redundancy).toBe(1);
    expect(known.pValue).toBeGreaterThan(0.001);
    const corrected = again(known);
    expect(corrected.edges.every(({ outline }) => outline.kind === 'circle')).toBe(true);
    const largest = Math.max(
      ...corrected.edges.map((edge) => (segmentsOf(corrected, edge)[0] as Arc).radius),
    );
    expect(Math.abs(largest - 6)).toBeLessThan(0.003);
    expect(corrected.warnings.map(({ code }) => code)).not.toContain('scale-unchecked');
  });

  it('the sds it states are those there are: 200 sets of lengths drawn at random', () => {
    const { scan } = stretched(0, 0);
    const random = createRandom('known lengths');
    let squares = 0;
    for (let i = 0; i < 200; i += 1) {
      const draw = (): number => random.normal();
      const lengths = [
        readKnownLength(`4,4 26,4 = ${22 + 0.05 * draw()} +- 0.05`),
        readKnownLength(`4,20 26,20 = ${22 + 0.05 * draw()} +- 0.05`),
      ];
      const known = knownScale(scan, lengths, 'a.png');
      squares += (known.x / known.sd.x) ** 2;
    }
    expect(squares / 200).toBeGreaterThan(0.7);
    expect(squares / 200).toBeLessThan(1.4);
  });

  it.each([
    ['9,9 26,4 = 22', /no corner and no centre of a circle within 2 mm of 9,9/],
    ['4,4 4.1,4 = 22', /both ends are the same place/],
    ['4,4 26,4 = 33', /differ from the picture by 50.0 %/],
  ])('%s is refused', (text, message) => {
    const { scan } = stretched(0, 0);
    expect(() => knownScale(scan, [readKnownLength(text)], 'a.png')).toThrow(message);
  });

  it('lengths that contradict one another are refused, the worst by name', () => {
    const { scan } = stretched(0, 0);
    const lengths = ['4,4 26,4 = 22 +- 0.02', '4,20 26,20 = 22.2 +- 0.02', '4,4 4,20 = 16 +- 0.02'].map(
      readKnownLength,
    );
    expect(() => knownScale(scan, lengths, 'a.png')).toThrow(/contradict one another/);
  });

  it.each(['4,4 26,4', '4,4 = 3', 'a,b c,d = 3', '4,4 26,4 = 0', '4,4 26,4 = 22 +- 0'])(
    '"%s" is no known length',
    (text) => {
      expect(() => readKnownLength(text)).toThrow(/--known/);
    },
  );
});
