/** Which openings are cut together: all that can have to do with one another. */
import { describe, expect, it } from 'vitest';
import { neighbourhoods } from '../../src/cut/neighbourhoods.js';
import { identity, rotation } from '../../src/geometry/affine.js';
import { workshop } from '../cli/workshop.js';
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

  it('have the land between them told, though a wide beam runs far from it', async () => {
    const shop = workshop();
    shop.write(
      'two.svg',
      '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100"><g id="marks"><circle id="A" cx="10" cy="90" r="1"/><circle id="B" cx="190" cy="90" r="1"/><circle id="C" cx="190" cy="10" r="1"/><circle id="D" cx="10" cy="10" r="1"/></g><g id="openings"><rect id="left" x="50" y="30" width="40" height="40"/><rect id="right" x="94.9" y="30" width="40" height="40"/></g><rect id="outline" width="200" height="100"/></svg>',
    );
    const text = shop.read('job.yaml').replace('panel.svg', 'two.svg');
    // 4.9 mm between the drawn edges, 2 mm of clearance on each side: 0.9 mm of land.
    for (const kerf of [0.1, 1, 3]) {
      shop.write('two.yaml', text.replace('clearance: 0.5, kerf: 0.2', `clearance: 2, kerf: ${kerf}`));
      const { out } = await shop.call('cut', '--json', 'two.yaml', '-o', 'two-cut.svg', '--force');
      const { thinLands } = JSON.parse(out);
      expect(thinLands.map(({ between }: { between: string[] }) => between)).toEqual([['left', 'right']]);
      expect(thinLands[0].width).toBeCloseTo(0.9, 6);
    }
  });
});
