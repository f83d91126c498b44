/**
 * The cut file as SVG 1.1: one user unit is one millimetre, one path element per path. A name that
 * is no id, as with blanks in it, stands in a title inside the element, whose id is made of it.
 */
import type { Matrix } from '../../geometry/affine.js';
import type { Segment } from '../../geometry/curve.js';
import type { Box, Point } from '../../geometry/point.js';
import { idMadeOf } from '../svg/svg-title.js';
import { AsciiText } from './ascii-text.js';
import {
  type CutFile,
  type CutFilePath,
  decimal,
  extentOf,
  isEdge,
  pageBegin,
  uniqueNames,
  type Vertex,
  verticesOf,
} from './cut-file.js';
import { pathData } from './path-data.js';

/** 1e-7 mm: read back, every point lies within 1e-6 mm of where it was. */
const decimals = 7;
/** An ellipse's arc given by its end points magnifies the rounding of its radii. */
const curveDecimals = 10;

/**
 * The page is the bed: its origin at the bottom left corner, or at the top left for a display that
 * counts y downwards. Without a bed size it is the smallest page (to a micrometre) from the origin
 * that holds the paths; where coordinates are negative the page begins at them, and whoever counts
 * from its corner reads other coordinates.
 *
 * Read again, everything lies within 1e-6 mm of where it was as long as it reaches over no more
 * than 100 m, as far as a part may: the rounding of a longer ellipse's lean tells. A path that
 * keeps within 1e-6 mm is a point to a reader.
 */
export const writeSvg = (file: CutFile<Segment>): string => {
  const page = pageOf(file);
  const width = decimal(page.maxX - page.minX, decimals);
  const height = decimal(page.maxY - page.minY, decimals);
  const upwards = file.axes === 'y-up';
  const left = decimal(page.minX, decimals);
  const top = upwards ? '0' : decimal(page.minY, decimals);
  const data = new AsciiText();
  const onPage = (p: Point): void => {
    data.number(p.x, decimals);
    data.add(',');
    data.number(upwards ? page.maxY - p.y : p.y, decimals);
  };
  const toPage: Matrix = upwards ? [1, 0, 0, -1, 0, page.maxY] : [1, 0, 0, 1, 0, 0];
  const dataOf = ({ segments, open = false }: CutFilePath<Segment>): string =>
    segments.every(isEdge)
      ? edgeData(verticesOf(segments, open), open, data, onPage, upwards)
      : pathData({ segments, closed: !open }, toPage, curveDecimals);

  const lines = [
    '<?xml version="1.0" encoding="UTF-8"?>',
    ...(file.remarks ?? []).map((remark) => `<!-- ${commented(remark)} -->`),
    `<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="${width}mm" height="${height}mm" viewBox="${left} ${top} ${width} ${height}">`,
  ];
  const unique = uniqueNames();
  let layer: string | undefined;
  for (const path of file.paths) {
    // Paths stay in their order, so a layer that comes back later opens a second group.
    if (path.layer !== layer) {
      if (layer !== undefined) lines.push('</g>');
      layer = path.layer;
      const { id, title } = named(layer, unique);
      lines.push(`<g ${id} fill="none" stroke="#000000" stroke-width="0.1">${title}`);
    }
    const stroke = path.drawn === undefined ? '' : ` stroke="${path.drawn.stroke ?? 'none'}"`;
    const { id, title } = named(path.id, unique);
    const end = title === '' ? '/>' : `>${title}</path>`;
    lines.push(`<path ${id}${stroke} d="${dataOf(path)}"${end}`);
  }
  if (layer !== undefined) lines.push('</g>');
  lines.push('</svg>', '');
  return lines.join('\n');
};

const edgeData = (
  vertices: readonly Vertex[],
  open: boolean,
  data: AsciiText,
  onPage: (p: Point) => void,
  upwards: boolean,
): string => {
  data.add('M');
  onPage(vertices[0]!.at);
  vertices.forEach(({ radius, sweep }, i) => {
    const next = vertices[i + 1] ?? vertices[0]!;
    if (radius !== undefined && sweep !== undefined) {
      data.add('A');
      data.number(radius, decimals);
      data.add(',');
      data.number(radius, decimals);
      // The flag is 1 for angles that grow in SVG's own axes, whose y points down.
      data.add(sweep > 0 === upwards ? ' 0 0 0 ' : ' 0 0 1 ');
      onPage(next.at);
    } else if (i < vertices.length - 1) {
      data.add('L');
      onPage(next.at);
    }
  });
  if (!open) data.add('Z');
  return data.take();
};

const pageOf = (file: CutFile<Segment>): Box => {
  const box = extentOf(file);
  const begin = pageBegin(box);
  const whole = (value: number): number => Math.ceil(value * 1000) / 1000;
  return {
    minX: begin.x,
    minY: begin.y,
    maxX: file.size?.[0] ?? Math.max(0, whole(box.maxX)),
    maxY: file.size?.[1] ?? Math.max(0, whole(box.maxY)),
  };
};

/**
 * A comment holds no two hyphens in a row and no control characters (W3C XML 1.0, sections 2.2 and
 * 2.5).
 */
const commented = (text: string): string =>
  text.replace(/[^\u{20}-\u{D7FF}\u{E000}-\u{FFFD}\u{10000}-\u{10FFFF}]/gu, ' ').replace(/--+/g, '-');

/**
 * The attribute of the id made of a name, and a title with the name itself where that is another.
 */
const named = (
  name: string,
  unique: (id: string) => string,
): { readonly id: string; readonly title: string } => {
  const plain = name.replace(/[^\t\n\r\u{20}-\u{D7FF}\u{E000}-\u{FFFD}\u{10000}-\u{10FFFF}]/gu, '').trim();
  const id = unique(idMadeOf(plain));
  const title =
    id === plain || plain === '' ? '' : `<title>${escaped(plain).replaceAll('>', '&gt;')}</title>`;
  return { id: `id="${escaped(id)}"`, title };
};

const escaped = (text: string): string =>
  text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/"/g, '&quot;').replace(/\s/g, ' ');
