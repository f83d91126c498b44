/** Which openings are cut together: all that can have to do with one another. */
import { describe, expect, it } from 'vitest';
import { neighbourhoods } from '../../src/cut/neighbourhoods.js';
import { identity, rotation } from '../../src/geometry/affine.js';
import { jobText, workshop } from '../cli/workshop.js';
import { polygon, shapeOf } from '../fit/touch-scenes.js';

describe('openings that may have to do with one another', () => {
  it('are together where the mitres of their tips meet, whichever way they are turned', () => {
    const tip = (x: number) => shapeOf(`tip ${x}`, polygon([x - 10, 0], [x, -10], [x + 10, 0], [x, 10]));
    // Tips 2.6 mm apart: an offset of 1 mm does not reach across, its mitre of 1.41 mm does.
    const shapes = [tip(0), tip(22.6)];
    const reach = { offset: 1, mitreLimit: 1.5, beyond: 0.01 };
    for (const turn of [0, Math.PI / 2, Math.PI]) {
      const groups = neighbourhoods(shapes, rotation(turn), reach);
      expect(groups.map((group) => group.shapes.length)).toEqual([2]);
    }
    const apart = neighbourhoods([tip(0), tip(24)], identity, reach);
    expect(apart.map((group) => group.shapes.length)).toEqual([1, 1]);
    expect(neighbourhoods(shapes, identity, { ...reach, mitreLimit: 1 })).toHaveLength(2);
  });

  it('are together where the only corner of each is its tip', () => {
    /** A drop of 20 mm with its tip at (x, y), up or down, smooth but there. */
    const drop = (id: string, y: number, up: 1 | -1) =>
      shapeOf(id, {
        closed: true,
        segments: [
          {
            kind: 'cubic',
            from: { x: 0, y },
            control1: { x: 8, y: y - up * 8 },
            control2: { x: 6, y: y - up * 20 },
            to: { x: 0, y: y - up * 20 },
          },
          {
            kind: 'cubic',
            from: { x: 0, y: y - up * 20 },
            control1: { x: -6, y: y - up * 20 },
            control2: { x: -8, y: y - up * 8 },
            to: { x: 0, y },
          },
        ],
      });
    const reach = { offset: 1, mitreLimit: 1.5, beyond: 0.01 };
    for (const turn of [0, 0.3, Math.PI / 2]) {
      const groups = neighbourhoods([drop('below', 0, 1), drop('above', 2.6, -1)], rotation(turn), reach);
      expect(groups.map((group) => group.shapes.length)).toEqual([2]);
    }
  });

  it('have the land between them told, though a wide beam runs far from it', async () => {
    const shop = workshop();
    shop.write(
      'two.svg',
      '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100"><g id="marks"><circle id="A" cx="10" cy="90" r="1"/><circle id="B" cx="190" cy="90" r="1"/><circle id="C" cx="190" cy="10" r="1"/><circle id="D" cx="10" cy="10" r="1"/></g><g id="openings"><path id="left" d="M80 50C80 61.0457 71.0457 70 60 70S40 61.0457 40 50S48.9543 30 60 30S80 38.9543 80 50z"/><path id="right" d="M124.9 50C124.9 61.0457 115.946 70 104.9 70S84.9 61.0457 84.9 50S93.8543 30 104.9 30S124.9 38.9543 124.9 50z"/></g><rect id="outline" width="200" height="100"/></svg>',
    );
    // Not turned: boxes of turned curves are wider than the curves.
    const text = jobText({ drawing: 'two.svg', place: (x, y) => [x + 300, y + 50] });
    // Curves without a corner, 4.9 mm between the drawn edges, 2 mm of clearance on each side: 0.9 mm of land.
    for (const kerf of [0.1, 1, 3]) {
      shop.write('two.yaml', text.replace('clearance: 0.5, kerf: 0.2', `clearance: 2, kerf: ${kerf}`));
      const { out } = await shop.call('cut', '--json', 'two.yaml', '-o', 'two-cut.svg', '--force');
      const { thinLands } = JSON.parse(out);
      expect(thinLands.map(({ between }: { between: string[] }) => between)).toEqual([['left', 'right']]);
      expect(thinLands[0].width).toBeCloseTo(0.9, 4);
    }
  });
});
