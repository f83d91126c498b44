/** The few letters and digits of a calibration sheet as single strokes, for a beam or a knife to mark. */
import type { Point } from '../../geometry/point.js';

/** Strokes on a grid 4 wide and 6 high, origin at the bottom left. */
const glyphs: Readonly<Record<string, readonly (readonly (readonly [number, number])[])[]>> = {
  A: [
    [
      [0, 0],
      [2, 6],
      [4, 0],
    ],
    [
      [0.8, 2.4],
      [3.2, 2.4],
    ],
  ],
  B: [
    [
      [0, 0],
      [0, 6],
      [3, 6],
      [4, 5],
      [4, 4],
      [3, 3],
      [0, 3],
    ],
    [
      [3, 3],
      [4, 2],
      [4, 1],
      [3, 0],
      [0, 0],
    ],
  ],
  C: [
    [
      [4, 1],
      [3, 0],
      [1, 0],
      [0, 1],
      [0, 5],
      [1, 6],
      [3, 6],
      [4, 5],
    ],
  ],
  D: [
    [
      [0, 0],
      [0, 6],
      [2.5, 6],
      [4, 4.5],
      [4, 1.5],
      [2.5, 0],
      [0, 0],
    ],
  ],
  E: [
    [
      [4, 0],
      [0, 0],
      [0, 6],
      [4, 6],
    ],
    [
      [0, 3],
      [3, 3],
    ],
  ],
  F: [
    [
      [0, 0],
      [0, 6],
      [4, 6],
    ],
    [
      [0, 3],
      [3, 3],
    ],
  ],
  G: [
    [
      [4, 5],
      [3, 6],
      [1, 6],
      [0, 5],
      [0, 1],
      [1, 0],
      [3, 0],
      [4, 1],
      [4, 3],
      [2, 3],
    ],
  ],
  H: [
    [
      [0, 0],
      [0, 6],
    ],
    [
      [4, 0],
      [4, 6],
    ],
    [
      [0, 3],
      [4, 3],
    ],
  ],
  P: [
    [
      [0, 0],
      [0, 6],
      [3, 6],
      [4, 5],
      [4, 4],
      [3, 3],
      [0, 3],
    ],
  ],
  1: [
    [
      [1, 5],
      [2, 6],
      [2, 0],
    ],
    [
      [1, 0],
      [3, 0],
    ],
  ],
  2: [
    [
      [0, 5],
      [1, 6],
      [3, 6],
      [4, 5],
      [4, 4],
      [0, 0],
      [4, 0],
    ],
  ],
  3: [
    [
      [0, 6],
      [4, 6],
      [2, 3.5],
      [3, 3.5],
      [4, 2.5],
      [4, 1],
      [3, 0],
      [1, 0],
      [0, 1],
    ],
  ],
  4: [
    [
      [3, 0],
      [3, 6],
      [0, 2],
      [4, 2],
    ],
  ],
  5: [
    [
      [4, 6],
      [0, 6],
      [0, 3.5],
      [3, 3.5],
      [4, 2.5],
      [4, 1],
      [3, 0],
      [0, 0],
    ],
  ],
};

/**
 * The strokes of a word, its baseline starting at (0, 0), mm.
 * Throws RangeError for a character that is not among them.
 */
export const letterStrokes = (word: string, height: number): Point[][] => {
  const unit = height / 6;
  return [...word].flatMap((character, i) => {
    const strokes = glyphs[character];
    if (!strokes) throw new RangeError(`no strokes for ${character}`);
    return strokes.map((stroke) => stroke.map(([x, y]) => ({ x: (x + 5.5 * i) * unit, y: y * unit })));
  });
};
