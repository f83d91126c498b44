/** The cut file as SVG 1.1: one user unit is one millimetre, one path element per path. */
import type { Box, Point } from '../geometry/point.js';
import {
  type CutFile,
  type CutFilePath,
  decimal,
  extentOf,
  uniqueNames,
  type Vertex,
  verticesOf,
} from './cut-file.js';

/** 1e-7 mm: read back, every point lies within 1e-6 mm of where it was. */
const decimals = 7;

/**
 * The page is the bed: its origin at the bottom left corner, or at the top left for a display that counts y
 * downwards. Without a bed size it is the smallest page (to a micrometre) from the origin that holds the paths;
 * where coordinates are negative the page begins at them.
 */
export const writeSvg = (file: CutFile): string => {
  const page = pageOf(file);
  const width = decimal(page.maxX - page.minX, decimals);
  const height = decimal(page.maxY - page.minY, decimals);
  const upwards = file.axes === 'y-up';
  const left = decimal(page.minX, decimals);
  const top = upwards ? '0' : decimal(page.minY, decimals);
  const onPage = (p: Point): string =>
    `${decimal(p.x, decimals)},${decimal(upwards ? page.maxY - p.y : p.y, decimals)}`;

  const lines = [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="${width}mm" height="${height}mm" viewBox="${left} ${top} ${width} ${height}">`,
  ];
  const unique = uniqueNames();
  let layer: string | undefined;
  for (const path of file.paths) {
    // Paths stay in their order, so a layer that comes back later opens a second group.
    if (path.layer !== layer) {
      if (layer !== undefined) lines.push('</g>');
      layer = path.layer;
      lines.push(`<g id="${unique(attribute(layer))}" fill="none" stroke="#000000" stroke-width="0.1">`);
    }
    lines.push(`<path id="${unique(attribute(path.id))}" d="${pathData(path, onPage, upwards)}"/>`);
  }
  if (layer !== undefined) lines.push('</g>');
  lines.push('</svg>', '');
  return lines.join('\n');
};

const pathData = (path: CutFilePath, onPage: (p: Point) => string, upwards: boolean): string => {
  const vertices: readonly Vertex[] = verticesOf(path.segments, path.open);
  const first = onPage(vertices[0]!.at);
  const data = [`M${first}`];
  vertices.forEach(({ radius, sweep }, i) => {
    const last = i === vertices.length - 1;
    if (radius !== undefined && sweep !== undefined) {
      const r = decimal(radius, decimals);
      // The flag is 1 for angles that grow in SVG's own axes, whose y points down.
      data.push(
        'A',
        r,
        ',',
        r,
        sweep > 0 === upwards ? ' 0 0 0 ' : ' 0 0 1 ',
        last ? first : onPage(vertices[i + 1]!.at),
      );
    } else if (!last) {
      data.push('L', onPage(vertices[i + 1]!.at));
    }
  });
  if (!path.open) data.push('Z');
  return data.join('');
};

const pageOf = (file: CutFile): Box => {
  const box = extentOf(file);
  const micrometres = (value: number, round: (v: number) => number): number => round(value * 1000) / 1000;
  return {
    minX: Math.min(0, micrometres(box.minX, Math.floor)),
    minY: Math.min(0, micrometres(box.minY, Math.floor)),
    maxX: file.size?.[0] ?? Math.max(0, micrometres(box.maxX, Math.ceil)),
    maxY: file.size?.[1] ?? Math.max(0, micrometres(box.maxY, Math.ceil)),
  };
};

const attribute = (text: string): string =>
  text
    .replace(/[^\t\n\r\u{20}-\u{D7FF}\u{E000}-\u{FFFD}\u{10000}-\u{10FFFF}]/gu, '')
    .trim()
    .replace(/\s+/g, '-')
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/"/g, '&quot;') || 'path';
