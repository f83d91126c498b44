import { describe, expect, it } from 'vitest';
import { listDrawing } from '../../src/drawing/list-drawing.js';
import type { Drawing } from '../../src/drawing/model/drawing.js';
import { readDrawing } from '../../src/drawing/read.js';
import { listJson } from '../../src/report/json/list-json.js';
import { plainShapes } from './plain-shapes.js';
import { bytesOf, page } from './svg-text.js';

/** More than any column or table begins with. */
const many = 700;

const bodyOf = (n: number): string => {
  const [x, y] = [10 * (n % 30), 10 * Math.floor(n / 30)];
  const bodies = [
    `<circle cx="${x}" cy="${y}" r="3"/>`,
    `<rect x="${x}" y="${y}" width="4" height="${1 + (n % 5)}" stroke="#00f"/>`,
    `<path d="M${x} ${y}c1 2 3 2 4 0a2 2 0 0 1 -4 0zm1 1h1" stroke="red"/>`,
    `<line x1="${x}" y1="${y}" x2="${x + 5}" y2="${y + 1}"/>`,
    `<g id="layer ${n}"><ellipse id="e${n}" data-name="leaf" cx="${x}" cy="${y}" rx="3" ry="2"/></g>`,
    `<polygon points="${x},${y} ${x + 4},${y} ${x + 4},${y + 4}" transform="rotate(30)"/>`,
    `<use href="#stem" x="${x}" y="${y}"/>`,
  ];
  return bodies[n % bodies.length]!;
};

const drawn = (bodies: readonly string[]): Drawing =>
  readDrawing(bytesOf(page(`<defs><path id="stem" d="M0 0v5h1z"/></defs>\n${bodies.join('\n')}`)), {
    path: 'many.svg',
  });

describe('a drawing of many shapes', () => {
  const bodies = Array.from({ length: many }, (_, n) => bodyOf(n));

  it('has each of them as a drawing of that one alone has it', () => {
    const shapes = plainShapes(drawn(bodies));
    expect(shapes).toHaveLength(many);
    shapes.forEach((shape, n) => {
      const [alone] = plainShapes(drawn([bodies[n]!]));
      const { id, line, ...rest } = shape;
      const { id: _, line: __, ...wanted } = alone!;
      expect(rest).toEqual(wanted);
      expect(id).toBe(shape.named ? `e${n}` : `${shape.element}-${n + 1}`);
      if (shape.element !== 'path') expect(line).toBe(n + shapes[0]!.line!);
    });
  });

  it('is listed alike whether its shapes have ids or are named by kind and number', () => {
    const listed = (text: readonly string[]) =>
      listJson(listDrawing(bytesOf(page(text.join('\n'))), 'many.svg')).shapes;
    const without = bodies.filter((_, n) => n % 7 < 4);
    const withIds = without.map((body, n) => body.replace(' ', ` id="s${n}" `));
    const one = listed(without);
    expect(one.length).toBeGreaterThan(300);
    expect(listed(withIds).map(({ id: _, ...rest }) => rest)).toEqual(one.map(({ id: _, ...rest }) => rest));
  });

  it('drawn twice has every closed shape once, wherever the second one stands', () => {
    const closed = bodies.filter((_, n) => n % 7 < 2 || n % 7 === 5);
    const { rows, joined } = listDrawing(
      bytesOf(page([...closed, ...closed.toReversed()].join('\n'))),
      'a.svg',
    );
    expect(rows).toHaveLength(closed.length);
    expect(joined.duplicates).toBe(closed.length);
  });

  it('of loose lines is as many outlines as were taken apart, beside tails and junctions', () => {
    const lines = Array.from({ length: many }, (_, n) => {
      const [x, y] = [10 * (n % 30), 10 * Math.floor(n / 30)];
      const corners = [
        [x, y],
        [x + 5, y],
        [x + 5, y + 4],
        [x, y + 4],
      ] as const;
      const edges = corners.map(([x1, y1], i) => {
        const [x2, y2] = corners[(i + 1) % 4]!;
        return `<line x1="${x1}" y1="${y1}" x2="${x2}" y2="${y2}"/>`;
      });
      const tail = `<line x1="${x}" y1="${y}" x2="${x - 2}" y2="${y - 2}"/>`;
      return n % 3 === 0 ? [...edges, tail] : edges;
    });
    // All first edges, then all second ones: the parts of an outline stand far from each other in the file.
    const text = [0, 1, 2, 3, 4].flatMap((i) => lines.flatMap((edges) => edges[i] ?? []));
    const { joined, rows } = listDrawing(bytesOf(page(text.join('\n'))), 'loose.svg');
    expect(joined.outlines).toBe(many);
    expect(joined.lines).toBe(4 * many);
    expect(rows.filter(({ closed }) => !closed)).toHaveLength(Math.ceil(many / 3));
    expect(rows.filter(({ closed }) => closed).every(({ area }) => Math.abs(area! - 20) < 1e-9)).toBe(true);
  });
});
