import { expect, test } from 'vitest';
import { doubleArea, isInside, nestingDepths } from '../../src/geometry/nesting.js';

const square = (x: number, y: number, size: number) => [
  { x, y },
  { x: x + size, y },
  { x: x + size, y: y + size },
  { x, y: y + size },
];

test('a ring counts the rings that hold it, in any order and winding', () => {
  const rings = [
    square(40, 40, 20),
    [...square(0, 0, 100)].reverse(),
    square(20, 20, 60),
    square(200, 0, 10),
    [...square(85, 85, 10)].reverse(),
  ];
  expect(nestingDepths(rings)).toEqual([2, 0, 1, 0, 1]);
  expect(nestingDepths([])).toEqual([]);
});

test('rings that touch at a corner do not hold one another', () => {
  expect(nestingDepths([square(0, 0, 10), square(10, 10, 10)])).toEqual([0, 0]);
});

test('inside by the even-odd rule, area signed by the winding', () => {
  expect(isInside({ x: 5, y: 5 }, square(0, 0, 10))).toBe(true);
  expect(isInside({ x: 15, y: 5 }, square(0, 0, 10))).toBe(false);
  expect(doubleArea(square(3, 4, 10))).toBe(200);
  expect(doubleArea([...square(3, 4, 10)].reverse())).toBe(-200);
});
