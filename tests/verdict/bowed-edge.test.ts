/** A bow moves the middle of a long straight edge farther than its ends. */

import { describe, expect, test } from 'vitest';
import { identity } from '../../src/geometry/affine.js';
import { checkJob, loadJob } from '../../src/reseat.js';
import type { Check } from '../../src/verdict/check-result.js';
import { placedEdges } from '../../src/verdict/edges/edge.js';
import { budgetJob } from './budget-job.js';
import { circle, rectangle } from './shapes.js';

const checkSlot = ([x, y, w, h]: readonly number[], kind: string, check: string): Check => {
  const drawing = `<svg xmlns="http://www.w3.org/2000/svg" width="600mm" height="400mm" viewBox="0 0 600 400">
<g id="outline"><rect id="panel" x="0" y="0" width="600" height="400"/></g>
<g id="openings"><rect id="slot" x="${x! - w! / 2}" y="${400 - y! - h! / 2}" width="${w}" height="${h}"/></g></svg>`;
  const { text } = budgetJob({ fit: '{reading-sd: 0.05, approach: same}', check, kind });
  const done = checkJob(
    loadJob({ path: 'job.yaml', text }, { read: () => new TextEncoder().encode(drawing) }),
  );
  if (!done.ok) throw new Error(done.failure.reason);
  return done.check;
};

/**
 * Centre, width and height of one slot in a panel of 600 mm with four marks near its corners; needed clearance at a bow of
 * 0.3 mm to either side, by 500,000 draws of an independent program (numpy; standard error 0.0001).
 */
const slots = [
  ['across the middle', [300, 200, 480, 20], 0.3028],
  ['along the upper edge', [300, 330, 480, 20], 0.3028],
  ['over the left and the middle', [220, 120, 360, 12], 0.3028],
] as const;

describe('A long straight opening in a panel that may be bowed', () => {
  for (const [where, slot, needed] of slots)
    for (const kind of ['opening', 'inlay'])
      test(`needs room for its middle, not only for its corners: ${where}, ${kind}`, () => {
        const found = checkSlot(slot, kind, '{bow: 0.3}').neededClearance!;
        expect(Math.abs(found - needed)).toBeLessThan(0.01 * needed);
      });

  test('fits no longer where a bow of its middle takes the clearance', () => {
    // (0.3 - 1.645 sd of the slot's sides) / 0.871, as for a slot in the middle of the panel.
    const bow = checkSlot([300, 200, 480, 20], 'opening', '{}').assumptions!.find((a) => a.code === 'bow')!;
    expect(bow.turnsAt! / 0.2967).toBeGreaterThan(0.99);
    expect(bow.turnsAt! / 0.2967).toBeLessThan(1.01);
  });

  test('has points along its sides no farther apart than asked for, and the same corners', () => {
    const settings = { kind: 'opening', corners: 'mitre', mitreLimit: 4, pierced: 0 } as const;
    const shapes = [rectangle('slot', 0, 0, 100, 5), circle('dot', { x: 0, y: 50 }, 4)];
    const plain = placedEdges(shapes, identity, settings);
    const dense = placedEdges(shapes, identity, { ...settings, longest: 12 });
    const [slot, dot] = dense;
    const above = [...slot!.x]
      .filter((_, i) => slot!.y[i] === 5 && slot!.normalY[i] === 1)
      .sort((a, b) => a - b);
    expect(above.length).toBe(10);
    for (let i = 1; i < above.length; i++) expect(above[i]! - above[i - 1]!).toBeLessThanOrEqual(12);
    expect(dot).toEqual(plain[1]);
  });
});
