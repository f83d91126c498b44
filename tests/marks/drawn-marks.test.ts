import { describe, expect, it } from 'vitest';
import type { Drawing } from '../../src/drawing/model/drawing.js';
import type { RoleAssignment } from '../../src/drawing/roles/roles.js';
import { loadJob } from '../../src/index.js';
import { groundOf, placesAround } from '../../src/marks/mark-ground.js';
import { rectangle } from '../verdict/shapes.js';

describe('a drawn mark', () => {
  const svg = (marks: string): string =>
    `<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm" viewBox="0 0 200 100"><g id="marks">${marks}</g><g id="outline"><rect width="200" height="100"/></g></svg>`;
  const circle = (attributes: string, x: number): string => `<circle ${attributes} cx="${x}" cy="90" r="1"/>`;
  const placed = (marks: string, ...names: readonly string[]) => {
    const readings = names.map((name, i) => `${JSON.stringify(name)}: [${i}, 0]`).join(', ');
    const { observations } = loadJob(
      { path: 'job.yaml', text: `drawing: a.svg\nreadings: {${readings}}\n` },
      { read: () => new TextEncoder().encode(svg(marks)) },
    );
    return observations.map(({ mark, design }) => [mark, design.x]);
  };

  it('is read by its id, or by its label', () => {
    const marks = circle('id="A"', 10) + circle('id="B" data-name="right one"', 190);
    expect(placed(marks, 'A', 'B')).toEqual([
      ['A', 10],
      ['B', 190],
    ]);
    expect(placed(marks, 'A', 'right one')).toEqual([
      ['A', 10],
      ['right one', 190],
    ]);
  });

  it('is read by its name as people say it, where programs write it with escapes', () => {
    const marks = circle('id="leaf_x20_7"', 10) + circle('id="leaf_x20_8"', 190) + circle('id="B%202"', 100);
    expect(placed(marks, 'leaf 7', 'leaf 8', 'B 2')).toEqual([
      ['leaf 7', 10],
      ['leaf 8', 190],
      ['B 2', 100],
    ]);
    expect(() => placed(marks, 'leaf 9', 'leaf 8')).toThrow(/leaf 9/);
  });

  it('is not guessed where two come to the same name', () => {
    const marks = circle('id="leaf_x20_7"', 10) + circle('id="leaf%207"', 190);
    expect(() => placed(marks, 'leaf 7')).toThrow(/leaf 7/);
    expect(placed(marks, 'leaf%207')).toEqual([['leaf%207', 190]]);
  });
});

describe('where marks can lie', () => {
  const page = { minX: 0, minY: 0, maxX: 300, maxY: 200 };
  const box = { minX: 50, minY: 60, maxX: 150, maxY: 100 };
  const of = (drawing: object, outline: readonly object[] = []) => ({
    drawing: drawing as Drawing,
    roles: { outline } as unknown as RoleAssignment,
  });

  it('is the outline, or else all that is drawn, and the page', () => {
    expect(groundOf(of({ box, page }))).toEqual({ panel: box, page });
    expect(groundOf(of({ box }))).toEqual({ panel: box });
    const outline = [rectangle('edge', 10, 20, 200, 150)];
    expect(groundOf(of({ box, page }, outline)).panel).toEqual({ minX: 10, minY: 20, maxX: 210, maxY: 170 });
    const nothing = { minX: Infinity, minY: Infinity, maxX: -Infinity, maxY: -Infinity };
    expect(groundOf(of({ box: nothing, page }))).toEqual({ page });
  });

  it('reaches past the openings by their length to every side where nothing says how large the panel is', () => {
    expect(placesAround(of({ box })).panel).toEqual({ minX: -50, minY: -40, maxX: 250, maxY: 200 });
    expect(placesAround(of({ box, page })).panel).toEqual({ minX: -50, minY: -40, maxX: 300, maxY: 200 });
    const tall = { minX: 50, minY: 60, maxX: 90, maxY: 160 };
    expect(placesAround(of({ box: tall })).panel).toEqual({ minX: -50, minY: -40, maxX: 190, maxY: 260 });
    const outline = [rectangle('edge', 10, 20, 200, 150)];
    expect(placesAround(of({ box, page }, outline))).toEqual(groundOf(of({ box, page }, outline)));
  });
});
