/** The pieces on the sheet are as wide as its tables say they are drawn. */

import { describe, expect, it } from 'vitest';
import { layOutSheet, usualSheet } from '../../src/calibration/sheet/sheet.js';
import { sheetDxf, sheetSvg } from '../../src/calibration/sheet/sheet-drawing.js';
import { shapeBox } from '../../src/drawing/model/shape-store.js';
import { readDrawing } from '../../src/drawing/read.js';

describe('the calibration sheet', () => {
  it('has a comb of slots as wide as its table says, with teeth of one width between them', () => {
    const { through: cut, comb } = layOutSheet(usualSheet, 'y-up');
    const line = cut.reduce((a, b) => (b.length > a.length ? b : a));
    const lowest = Math.min(...line.map(({ y }) => y));
    const floor = Math.min(...line.map(({ y }) => y).filter((y) => y > lowest));
    // Where the floors of the slots begin and end, from left to right.
    const ends = line
      .filter(({ y }) => y === floor)
      .map(({ x }) => x)
      .sort((a, b) => a - b);
    expect(ends).toHaveLength(2 * comb.slots);
    const [left, right] = [Math.min(...line.map(({ x }) => x)), Math.max(...line.map(({ x }) => x))];
    const teeth = [ends[0]! - left];
    for (let i = 0; i < ends.length; i += 2) {
      expect(ends[i + 1]! - ends[i]!).toBeCloseTo(comb.drawn, 9);
      teeth.push((ends[i + 2] ?? right) - ends[i + 1]!);
    }
    expect(teeth).toHaveLength(comb.slots + 1);
    for (const tooth of teeth) expect(tooth).toBeCloseTo(teeth[0]!, 9);
    expect(teeth[0]).toBeGreaterThan(5);
  });

  it('has strips side by side, each as wide as its table says', () => {
    const { through: cut, strips } = layOutSheet([900, 600], 'y-down');
    const across = cut
      .filter((line) => line.length === 2 && line[0]!.x === line[1]!.x)
      .map(([a]) => a!.x)
      .sort((a, b) => a - b);
    expect(across).toHaveLength(strips.count + 1);
    for (let i = 1; i < across.length; i++) expect(across[i]! - across[i - 1]!).toBeCloseTo(strips.drawn, 9);
  });

  it('is the same drawing as SVG and as DXF: black lines on the surface first, then mid-grey ones through', () => {
    const machine = { axes: 'y-up' } as const;
    const sheet = layOutSheet(usualSheet, 'y-up');
    const shapesOf = (text: string, path: string) =>
      readDrawing(new TextEncoder().encode(text), { path }).shapes.map((shape) => {
        const { minX, minY, maxX, maxY } = shapeBox(shape);
        const box = [minX, minY, maxX, maxY].map((value) => value.toFixed(3));
        return [shape.layers[0], shape.stroke, shape.paths.map(({ closed }) => closed), box];
      });
    const svg = shapesOf(sheetSvg(sheet, machine), 'sheet.svg');
    expect(shapesOf(sheetDxf(sheet, machine), 'sheet.dxf')).toEqual(svg);
    const groups = svg.map(([layer, stroke]) => `${layer} ${stroke}`);
    expect([...new Set(groups)]).toEqual(['surface #000000', 'through #808080']);
    expect(groups).toEqual([...groups].sort());
  });
});
