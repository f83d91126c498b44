/** Edges that fall on one another, tips that overlap, paths that cross themselves: each went wrong once. */
import { expect, it } from 'vitest';
import { cutOpenings } from '../../src/cut/cut.js';
import { degenerate, path } from './degenerate-drawings.js';
import { judge } from './judge.js';
import { circle, cutInput, polygon, shape } from './shapes.js';

it.each(degenerate)('%s', (_, openings, settings) => {
  expect(judge(cutInput(openings, settings)).fault).toBeUndefined();
});

it('an opening that encloses nothing is named, not dropped in silence', () => {
  const { vanished, paths } = cutOpenings(
    cutInput([shape('line', polygon([0, 0], [10, 0], [5, 0])), shape('disc', circle(20, 0, 5))]),
  );
  expect(vanished).toEqual(['line']);
  expect(paths.map((p) => p.openings)).toEqual([['disc']]);
});

it('the mitred tip of a path that crosses itself, far beyond its edge, merges with the opening it reaches', () => {
  // A drop with a tail of a fifth of a millimetre: where it crosses itself its mitre reaches past the tail.
  const drop = shape(
    'drop',
    path([0.2, 0, 0.2, 0.12, -4, -3], [-8, -3, -12, -3, -12, 3], [-8, 3, -4, 3, 0.2, -0.12]),
  );
  const settings = { clearance: 0.5, corners: 'mitre', mitreLimit: 4, smallestLand: 0 } as const;
  const { box } = cutOpenings(cutInput([drop], settings)).paths[0]!;
  expect(box.maxX).toBeGreaterThan(0.2 + 0.5 + 0.1);
  const beside = shape('beside', circle(box.maxX + 1.5 - 0.02, 0, 1));
  expect(cutOpenings(cutInput([drop, beside], settings)).merged).toEqual([['drop', 'beside']]);
});
