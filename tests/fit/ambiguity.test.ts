import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ambiguities } from '../../src/fit/doubts/ambiguity.js';
import { patternWarning } from '../../src/fit/doubts/ambiguity-words.js';
import { apply, compose, rotation, translation } from '../../src/geometry/affine.js';
import type { Point } from '../../src/geometry/point.js';

const points = (...pairs: [number, number][]): Point[] => pairs.map(([x, y]) => ({ x, y }));
const kinds = (design: readonly Point[], tolerance = 0.3) =>
  ambiguities(design, tolerance)
    .map((a) => (a.kind === 'turn' ? `turn ${a.degrees!.toFixed(0)}` : a.kind))
    .sort();

const rectangle = points([0, 0], [560, 0], [560, 360], [0, 360]);

describe('patterns of marks that map onto themselves', () => {
  it('a rectangle: half a turn, and face down about both middle lines', () => {
    expect(kinds(rectangle)).toEqual(['half-turn', 'mirror', 'mirror']);
    expect(ambiguities(rectangle, 0.3).find((a) => a.kind === 'half-turn')!.image).toEqual([2, 3, 0, 1]);
  });

  it('a square also by quarters, an equal-sided triangle by thirds', () => {
    const square = points([0, 0], [100, 0], [100, 100], [0, 100]);
    expect(kinds(square)).toEqual(['half-turn', ...new Array(4).fill('mirror'), 'turn 270', 'turn 90']);
    const triangle = [0, 1, 2].map((k) => apply(rotation((2 * Math.PI * k) / 3), { x: 100, y: 0 }));
    expect(kinds(triangle)).toEqual(['mirror', 'mirror', 'mirror', 'turn 120', 'turn 240']);
  });

  it('two marks always, by half a turn and face down', () => {
    expect(kinds(rectangle.slice(0, 2))).toEqual(['half-turn', 'mirror', 'mirror']);
  });

  it('a row of holes at equal spacing can be read one hole too far', () => {
    expect(kinds(points([0, 0], [100, 0], [200, 0], [300, 0]))).toContain('equal-spacing');
    expect(kinds(points([200, 0], [0, 0], [100, 0]))).toContain('equal-spacing');
    expect(kinds(points([0, 0], [100, 0], [210, 0]))).not.toContain('equal-spacing');
  });

  it('marks on one line never tell face up from face down', () => {
    expect(kinds(points([0, 0], [100, 0], [210, 0]))).toEqual(['mirror']);
  });

  it('four marks that form no regular pattern are told from every other placement', () => {
    expect(kinds(points([25, 30], [570, 22], [540, 378], [60, 365]))).toEqual([]);
    expect(kinds(rectangle.slice(0, 3))).toEqual([]);
  });

  it('the tolerance decides: a pattern a millimetre off regular is told apart by 0.3 mm, not by 3 mm', () => {
    const nearly = points([0, 0], [560, 0], [561, 361], [0, 360]);
    expect(kinds(nearly, 0.2)).toEqual([]);
    expect(kinds(nearly, 3)).toEqual(['half-turn', 'mirror', 'mirror']);
    for (const { miss } of ambiguities(nearly, 3)) expect(miss).toBeLessThanOrEqual(3);
  });

  it('neither moving the pattern nor the order of its marks changes what is found', () => {
    fc.assert(
      fc.property(
        fc.double({ min: -3, max: 3, noNaN: true }),
        fc.constantFrom(rectangle, points([0, 0], [90, 0], [180, 0]), points([0, 0], [300, 10], [50, 200])),
        (angle, design) => {
          const moved = design
            .map((p) => apply(compose(translation(700, -40), rotation(angle)), p))
            .reverse();
          expect(kinds(moved)).toEqual(kinds(design));
        },
      ),
      { seed: 20261125, numRuns: 50 },
    );
  });

  it('one mark, or marks in one place, have no pattern', () => {
    expect(ambiguities(points([1, 1]), 0.3)).toEqual([]);
    expect(ambiguities(points([1, 1], [1, 1]), 0.3)).toEqual([]);
  });
});

describe('the pattern in words, before any reading is taken', () => {
  const marks = (design: readonly Point[]) => design.map((d, i) => ({ mark: 'ABCD'[i]!, design: d }));

  it('says what cannot be told and what would tell', () => {
    expect(patternWarning(marks(rectangle), 0.3)).toEqual({
      code: 'ambiguous-pattern',
      marks: ['A', 'B', 'C', 'D'],
      message:
        'Marks A, B, C and D form a regular pattern: turned by half a turn or face down with marks exchanged, it fits as well, and no reading tells. One more mark off the pattern would; otherwise look at the part.',
    });
    expect(patternWarning(marks(rectangle.slice(0, 2)), 0.3)!.message).toBe(
      'Two marks cannot tell the part from one that lies face down, nor from one turned by half a turn with A and B exchanged. A third mark beside the line through them would tell; otherwise look at the part.',
    );
  });

  it('says nothing of a pattern that is unmistakable', () => {
    expect(patternWarning(marks(rectangle.slice(0, 3)), 0.3)).toBeUndefined();
  });
});
