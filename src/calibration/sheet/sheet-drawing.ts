/**
 * The calibration sheet as an SVG to cut. The page is that of every cut file (write-svg.ts): the bed, its origin at
 * the bottom left, for y-down at the top left; one unit is one millimetre. Not a cut file itself, for crosses are
 * open lines.
 */
import { decimal } from '../../drawing/write/cut-file.js';
import type { Point } from '../../geometry/point.js';
import type { Machine } from '../../job/job.js';
import { dotRadius, type Polyline, type Sheet } from './sheet.js';

/** Whole millimetres but for letters and dots. */
const decimals = 4;

/**
 * Group `score` (mark the surface only) before group `cut` (cut through), each line in the order to be done.
 * @param remarks lines that stand in the file for whoever opens it
 */
export const sheetSvg = (
  sheet: Sheet,
  { axes, size }: Pick<Machine, 'axes' | 'size'>,
  remarks: readonly string[],
): string => {
  const [width, height] = size ?? sheet.size;
  const n = (value: number): string => decimal(value, decimals);
  const y = (value: number): number => (axes === 'y-up' ? height - value : value);
  const onPage = (p: Point): string => `${n(p.x)},${n(y(p.y))}`;
  const pathOf = (line: Polyline): string => {
    const closed = line.length > 2 && line[0]!.x === line.at(-1)!.x && line[0]!.y === line.at(-1)!.y;
    const [first, ...rest] = closed ? line.slice(0, -1) : line;
    return `<path d="M${onPage(first!)}${rest.map((p) => `L${onPage(p)}`).join('')}${closed ? 'Z' : ''}"/>`;
  };
  const dots = sheet.dots.map(
    ({ name, at }) => `<circle id="${name}" cx="${n(at.x)}" cy="${n(y(at.y))}" r="${dotRadius}"/>`,
  );
  const group = (id: string, content: readonly string[]): string[] => [
    `<g id="${id}" fill="none" stroke="#000000" stroke-width="0.1">`,
    ...content,
    '</g>',
  ];
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    '<!--',
    ...remarks.map((line) => `  ${line.replaceAll('--', '- -')}`),
    '-->',
    `<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="${n(width)}mm" height="${n(height)}mm" viewBox="0 0 ${n(width)} ${n(height)}">`,
    ...group('score', [...sheet.score.map(pathOf), ...dots]),
    ...group('cut', sheet.cut.map(pathOf)),
    '</svg>',
    '',
  ].join('\n');
};
