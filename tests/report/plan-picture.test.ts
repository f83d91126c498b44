import { describe, expect, it } from 'vitest';
import { boxesMeet } from '../../src/geometry/point.js';
import { createRandom } from '../../src/numeric/random.js';
import { planMarks } from '../../src/plan/plan.js';
import { bandsOf, errorAt } from '../../src/report/picture/plan/plan-bands.js';
import { planPicture } from '../../src/report/picture/plan/plan-picture.js';
import { signsOf } from '../../src/report/picture/plan/plan-signs.js';
import { planInput, randomOpenings } from '../plan/panels.js';

const board = { minX: 0, minY: 0, maxX: 600, maxY: 400 };

const planned = (job: string) => {
  const input = planInput({ openings: randomOpenings(createRandom('picture'), 12), job });
  return { input, plan: planMarks(input) };
};

describe('The picture of a plan', () => {
  it('draws contours where the predicted error is what their figure says', () => {
    const { input, plan } = planned('fit: {reading-sd: 0.1}\ncheck: {cut-sd: 0.03, kerf-sd: 0.02}');
    const bands = bandsOf(plan, board, input.roles)!;
    expect(bands.regions.length).toBeGreaterThan(2);
    for (const { level, label, rings } of bands.regions) {
      if (label !== undefined) expect(errorAt(plan, label.at)! / level).toBeCloseTo(1, 3);
      const inside = rings.flat().filter(({ x, y }) => x > 0 && x < 600 && y > 0 && y < 400);
      for (const at of inside) expect(errorAt(plan, at)! / level).toBeCloseTo(1, 3);
    }
    expect(bands.regions.filter(({ label }) => label !== undefined).length).toBeGreaterThan(2);
  });

  it('writes the names of drawn and planned marks over no sign and no other name, and figures over neither', () => {
    const openings = randomOpenings(createRandom('picture'), 12);
    const present = new Map([
      ['circle-25', { x: 12, y: 12 }],
      ['circle-26', { x: 588, y: 12 }],
      ['circle-27', { x: 580, y: 388 }],
      ['circle-28', { x: 14, y: 14 }],
    ]);
    const input = planInput({ openings, present, job: 'fit: {reading-sd: 0.1}' });
    const plan = planMarks(input);
    const signs = signsOf(plan, [1.5, 0, 0, -1.5, 0, 600], board);
    const boxes = signs.flatMap((sign) => sign.boxes.map((box) => ({ box, name: sign.place.name })));
    const near = new Set(['circle-25', 'circle-28']);
    for (const [i, one] of boxes.entries()) {
      for (const other of boxes.slice(i + 1)) {
        if (one.name === other.name || (near.has(one.name) && near.has(other.name))) continue;
        expect([one.name, other.name, boxesMeet(one.box, other.box)]).toEqual([one.name, other.name, false]);
      }
    }
    const taken = [{ minX: 200, minY: 100, maxX: 400, maxY: 300 }];
    const bands = bandsOf(plan, board, input.roles, { letter: 8, taken })!;
    for (const { label } of bands.regions) {
      if (label === undefined) continue;
      const { x, y } = label.at;
      expect(x > 200 && x < 400 && y > 100 && y < 300).toBe(false);
      // Half a figure of five letters, whichever way it is turned: on the panel with both its ends.
      const turn = (label.degrees * Math.PI) / 180;
      for (const way of [-1, 1]) {
        const end = { x: x + way * 11.6 * Math.cos(turn), y: y + way * 11.6 * Math.sin(turn) };
        expect(end.x > 0 && end.x < 600 && end.y > 0 && end.y < 400).toBe(true);
      }
    }
  });

  it('gets darker from band to band, so that it reads in grey', () => {
    const { input, plan } = planned('fit: {reading-sd: 0.1}');
    const lightness = bandsOf(plan, board, input.roles)!.colours.map((colour) => {
      const [r, g, b] = [1, 3, 5].map((i) => Number.parseInt(colour.slice(i, i + 2), 16));
      return 0.2126 * r! + 0.7152 * g! + 0.0722 * b!;
    });
    for (let i = 1; i < lightness.length; i++) expect(lightness[i]).toBeLessThan(lightness[i - 1]! - 8);
  });

  it('shows a panel without contours where no error can be claimed, and says so', () => {
    const { input, plan } = planned('fit: {model: affine}\nplan: {marks: 4}');
    const { covariance: _, ...fit } = plan.chosen.fit!;
    const text = planPicture({
      job: input.job,
      roles: input.roles,
      plan: { ...plan, chosen: { ...plan.chosen, fit } },
    });
    expect(text).toContain('None can be claimed');
    expect(text).not.toContain('contour-labels');
  });
});
