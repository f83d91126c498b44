/** Names of marks in a picture: on no other name, and not beyond the frame. */
import { describe, expect, it } from 'vitest';
import { signsOn } from '../../src/report/picture/job/signs-on.js';
import { LabelRoom } from '../../src/report/picture/label-room.js';
import { letteringWidth } from '../../src/report/picture/lettering.js';
import type { PictureMark } from '../../src/report/picture/picture-input.js';

const frame = { minX: 0, minY: 0, maxX: 400, maxY: 300 };

/** Boxes of the names, as wide as a bold face writes them. */
const namesOf = (marks: readonly PictureMark[]) => {
  const input = { title: '', caption: [], shapes: [], ticks: '', marks };
  const svg = signsOn(input, [1, 0, 0, 1, 0, 0], 100, new LabelRoom(frame));
  return [...svg.matchAll(/<text x="([\d.-]+)" y="([\d.-]+)"[^>]*text-anchor="middle"[^>]*>([^<]*)</g)].map(
    ([, x, y, name]) => {
      const wide = letteringWidth(name!, 15, true);
      const left = Number(x) - wide / 2;
      return { name: name!, left, right: left + wide, top: Number(y) - 11, bottom: Number(y) };
    },
  );
};

const mark = (name: string, x: number, y: number, dx: number, dy: number): PictureMark => ({
  name,
  at: { x, y },
  residual: { x: dx, y: dy },
});

describe('names of marks', () => {
  it('stay within the frame, whichever way the arrow points', () => {
    const names = namesOf([
      mark('corner-lower-right', 380, 280, -0.3, -0.2),
      mark('corner-lower-left', 20, 280, 0.3, -0.2),
      mark('upper', 200, 8, 0, 0.3),
    ]);
    expect(names.map(({ name }) => name)).toHaveLength(3);
    for (const { left, right, top, bottom } of names)
      expect([left >= 0, right <= 400, top >= 0, bottom <= 300]).toEqual([true, true, true, true]);
  });

  it('lie on no other name where marks lie close to each other', () => {
    const names = namesOf([mark('near-A', 200, 150, 0.3, 0.1), mark('near-B', 204, 156, 0.3, 0.1)]);
    const [one, other] = names as [(typeof names)[number], (typeof names)[number]];
    const meet =
      one.left < other.right && other.left < one.right && one.top < other.bottom && other.top < one.bottom;
    expect(meet).toBe(false);
  });

  it('stand away from the arrow where there is room', () => {
    const [name] = namesOf([mark('A', 200, 150, 0.3, 0)]);
    expect(name!.right).toBeLessThan(200);
  });
});
