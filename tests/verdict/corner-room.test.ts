/** Corners as both tools leave them, held against the buffers of another library. */
import { describe, expect, test } from 'vitest';
import type { Point } from '../../src/geometry/point.js';
import { areaOf, exactRoom, existingOf, foretoldRoom, producedOf, type Tooling } from './exact-room.js';
import { checkOf } from './jobs.js';
import { polygonPath, rectangle, rectanglePoints, starPoints } from './shapes.js';

const shapes: Readonly<Record<string, Point[]>> = {
  square: rectanglePoints(0, 0, 30, 20),
  star: starPoints({ x: 0, y: 0 }, 30, 15, 5),
  'blunt hexagon': starPoints({ x: 0, y: 0 }, 20, 20, 3),
};

describe('the room at every corner is that of the edges as they are really made', () => {
  const cases: Tooling[] = [];
  for (const kind of ['opening', 'inlay'] as const)
    for (const corners of ['mitre', 'round'] as const)
      for (const [beam, piercing, compensated] of [
        [0, 0, true],
        [0.06, 0, true],
        [0.3, 0, true],
        [0.6, 0, true],
        [0.06, 0.09, true],
        [0.06, 0.3, true],
        [0.3, 0.3, true],
        [0.06, 0.09, false],
        [0.3, 0.1, false],
      ] as const)
        cases.push({ kind, corners, clearance: 0.5, beam, piercing, compensated });

  for (const [name, points] of Object.entries(shapes)) {
    test.each(cases)(
      `${name}: $kind, $corners, beam $beam, pierced with $piercing (compensated: $compensated)`,
      (c) => {
        const drawn = areaOf(points);
        const existing = existingOf(drawn, c);
        const produced = producedOf(drawn, c);
        for (let k = 0; k < 7; k++) {
          const angle = 0.13 + (2 * Math.PI * k) / 7;
          const exact = exactRoom(existing, produced, c, angle);
          expect(Math.abs(foretoldRoom(polygonPath(points), c, angle) / exact - 1)).toBeLessThan(1.5e-3);
        }
      },
    );
  }
});

test('behind a right-angled mitre a beam of 0.12 mm leaves 0.018 mm less than a pointed one would', () => {
  const square = rectanglePoints(0, 0, 30, 20);
  const c = { kind: 'opening', corners: 'mitre', clearance: 0.5, piercing: 0, compensated: true } as const;
  const pointed = foretoldRoom(polygonPath(square), { ...c, beam: 0 }, Math.PI / 4);
  const rounded = foretoldRoom(polygonPath(square), { ...c, beam: 0.06 }, Math.PI / 4);
  expect(pointed).toBeCloseTo(0.5 * Math.SQRT2, 9);
  expect((pointed - rounded) / Math.SQRT2).toBeCloseTo(0.06 * (1 - Math.SQRT1_2), 3);
});

test('a bit that cannot reach into the corners: the job does not fit, and is told why', () => {
  const openings = [rectangle('window', 260, 180, 60, 30)];
  const router = checkOf({ openings, cut: { clearance: 0.4, kerf: 3 } });
  expect(router.verdict).toBe('does-not-fit');
  expect(router.risk).toBe(1);
  expect(router.explanation).toContain('too thick for the corners');
  // 1.5 (1 - cos 45 degrees) = 0.44 mm is what the corner alone takes.
  expect(router.neededClearance).toBeGreaterThan(0.44);
  const wider = checkOf({ openings, cut: { clearance: router.neededClearance! + 0.001, kerf: 3 } });
  expect(wider.verdict).toBe('fits');
  expect(wider.risk).toBeCloseTo(0.05, 2);
  // Corners that the same bit left round stay clear of it.
  const sameBit = checkOf({
    openings,
    cut: { clearance: 0.4, kerf: 3 },
    rest: { pierced: { kerf: 3, compensated: true } },
  });
  expect(sameBit.verdict).toBe('fits');
});
