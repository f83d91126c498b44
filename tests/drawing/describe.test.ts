import { describe, expect, it } from 'vitest';
import { describeDrawing, type ShapeRow } from '../../src/drawing/describe.js';
import { assignRoles } from '../../src/drawing/roles/roles.js';
import { defaultRoles } from '../../src/job/job.js';
import { page, readText } from './svg-text.js';

const rows = (body: string): ShapeRow[] => describeDrawing(assignRoles(readText(page(body)), defaultRoles));
const row = (body: string): ShapeRow => rows(`<g id="openings">${body}</g>`)[0]!;

describe('the list of shapes', () => {
  it('has a row for each shape in the order of the file', () => {
    const found = rows(`<g id="marks"><circle id="A" cx="10" cy="10" r="2"/></g>
      <g id="openings"><g id="left"><path id="leaf" d="M20 20h10v10z"/></g></g><line id="fold" x2="30" y2="40"/>`);
    const said = found.map(({ id, layer, role, kind, closed, length, area, box, stroke }) => {
      return { id, layer, role, kind, closed, length, area, box, stroke };
    });
    expect(said).toEqual([
      {
        id: 'A',
        layer: 'marks',
        role: 'mark',
        kind: 'circle',
        closed: true,
        length: 4 * Math.PI,
        area: expect.closeTo(4 * Math.PI, 12),
        box: { minX: 8, minY: 88, maxX: 12, maxY: 92 },
      },
      {
        id: 'leaf',
        layer: 'left',
        role: 'opening',
        kind: 'path',
        closed: true,
        length: expect.closeTo(20 + Math.SQRT2 * 10, 12),
        area: 50,
        box: { minX: 20, minY: 70, maxX: 30, maxY: 80 },
      },
      {
        id: 'fold',
        role: 'unused',
        kind: 'line',
        closed: false,
        length: 50,
        box: { minX: 0, minY: 60, maxX: 30, maxY: 100 },
      },
    ]);
  });

  it('measures an ellipse with semi-axes 5 and 3: 25.526999 around, 47.123890 inside (check value)', () => {
    const found = row('<ellipse cx="30" cy="30" rx="5" ry="3" transform="rotate(20)"/>');
    expect(found.length).toBeCloseTo(25.526999, 6);
    expect(found.area).toBeCloseTo(47.12389, 6);
  });

  it('gives no area to a shape that is open in any part', () => {
    expect(row('<path d="M0 0h5v5z M9 9h1"/>').area).toBeUndefined();
    expect(row('<path d="M0 0h5v5z M9 9h1"/>').closed).toBe(false);
  });

  it('takes holes off and adds islands in them, by nesting, whichever way they run', () => {
    // 100 x 100 less 60 x 60 and 10 x 10 beside it, plus an island of 20 x 20.
    const area = 100 ** 2 - 60 ** 2 - 10 ** 2 + 20 ** 2;
    for (const island of ['M40 40h20v20h-20z', 'M40 40v20h20v-20z']) {
      expect(
        row(`<path d="M0 0h100v100h-100z M20 20h60v60h-60z M5 5h10v10h-10z ${island}"/>`).area,
      ).toBeCloseTo(area, 9);
    }
  });

  it('adds up parts that lie beside each other', () => {
    expect(row('<path d="M0 0h10v10h-10z M20 0v10h10v-10z"/>').area).toBeCloseTo(200, 12);
  });

  it('has a small area for a ring between two circles', () => {
    const ring =
      'M 30 50 a 20 20 0 1 0 40 0 a 20 20 0 1 0 -40 0 z M 30.5 50 a 19.5 19.5 0 1 0 39 0 a 19.5 19.5 0 1 0 -39 0 z';
    expect(row(`<path d="${ring}"/>`).area).toBeCloseTo(Math.PI * (20 ** 2 - 19.5 ** 2), 9);
  });
});
