/**
 * The calibration sheet as a drawing to cut, SVG or DXF. The page is that of every cut file (write-svg.ts): the bed, its origin at
 * the bottom left, for y-down at the top left; one unit is one millimetre. Not a cut file itself, for crosses are
 * open lines.
 */
import { decimal } from '../../drawing/write/cut-file.js';
import { writeDxf } from '../../drawing/write/write-dxf.js';
import type { Line } from '../../geometry/curve.js';
import type { Point } from '../../geometry/point.js';
import { cautions } from '../../job/cautions.js';
import type { Machine } from '../../job/job.js';
import { dotRadius, type Polyline, type Sheet } from './sheet.js';

/** Whole millimetres but for letters and dots. */
const decimals = 4;

/** Black marks the surface, mid-grey goes through: no colour of a spectrum, which a machine may take for a setting of its own. */
const strokes = { surface: '#000000', through: '#808080' } as const;
type Group = keyof typeof strokes;

/** What stands in the file for whoever opens it. */
const remarks = [
  'Calibration sheet of reseat; display coordinates, one unit is one millimetre.',
  'Group "surface" (black) marks the surface only, group "through" (mid-grey) goes through. Cut it as it is, without kerf correction.',
  ...cautions,
];

/** Group `surface` before group `through`, each line in the order to be done. */
export const sheetSvg = (sheet: Sheet, { axes, size }: Pick<Machine, 'axes' | 'size'>): string => {
  const [width, height] = size ?? sheet.size;
  const n = (value: number): string => decimal(value, decimals);
  const y = (value: number): number => (axes === 'y-up' ? height - value : value);
  const onPage = (p: Point): string => `${n(p.x)},${n(y(p.y))}`;
  const pathOf = (line: Polyline): string => {
    const closed = isClosed(line);
    const [first, ...rest] = closed ? line.slice(0, -1) : line;
    return `<path d="M${onPage(first!)}${rest.map((p) => `L${onPage(p)}`).join('')}${closed ? 'Z' : ''}"/>`;
  };
  const dots = sheet.dots.map(
    ({ name, at }) => `<circle id="${name}" cx="${n(at.x)}" cy="${n(y(at.y))}" r="${dotRadius}"/>`,
  );
  const group = (id: Group, content: readonly string[]): string[] => [
    `<g id="${id}" fill="none" stroke="${strokes[id]}" stroke-width="0.1">`,
    ...content,
    '</g>',
  ];
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    '<!--',
    ...remarks.map((line) => `  ${line.replaceAll('--', '- -')}`),
    '-->',
    `<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="${n(width)}mm" height="${n(height)}mm" viewBox="0 0 ${n(width)} ${n(height)}">`,
    ...group('surface', [...sheet.surface.map(pathOf), ...dots]),
    ...group('through', sheet.through.map(pathOf)),
    '</svg>',
    '',
  ].join('\n');
};

/** The same as DXF, with a layer for each group. */
export const sheetDxf = (sheet: Sheet, { axes, size }: Pick<Machine, 'axes' | 'size'>): string => {
  const linesIn = (layer: Group, lines: readonly Polyline[]) =>
    lines.map((line) => ({
      id: layer,
      layer,
      drawn: { stroke: strokes[layer] },
      open: !isClosed(line),
      segments: line.slice(1).map((to, i): Line => ({ kind: 'line', from: line[i]!, to })),
    }));
  const dots = sheet.dots.map(({ name, at }) => ({
    id: name,
    layer: 'surface',
    drawn: { stroke: strokes.surface },
    segments: [{ kind: 'arc', centre: at, radius: dotRadius, start: 0, sweep: 2 * Math.PI } as const],
  }));
  return writeDxf({
    axes,
    ...(size === undefined ? {} : { size }),
    remarks,
    paths: [...linesIn('surface', sheet.surface), ...dots, ...linesIn('through', sheet.through)],
  });
};

const isClosed = (line: Polyline): boolean =>
  line.length > 2 && line[0]!.x === line.at(-1)!.x && line[0]!.y === line.at(-1)!.y;
