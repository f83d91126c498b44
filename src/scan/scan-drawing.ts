/**
 * The drawing of a scan: layers `openings` and `outline`, the picture's lower left corner at the origin. Circles stay circles
 * and every line and arc is written once, so that a slot has its four sides. The sd of the edges stands in the file:
 * `data-edge-sd` in SVG, a comment in DXF; `check` counts it from there.
 */

import { edgeSdRemark } from '../drawing/edge-sd.js';
import { decimal } from '../drawing/write/cut-file.js';
import { writeDxf } from '../drawing/write/write-dxf.js';
import type { Arc, Line } from '../geometry/curve.js';
import type { Point } from '../geometry/point.js';
import { pointOn } from './curves/chain.js';
import type { Scan, ScannedEdge } from './scan.js';

/** Read again, everything lies within 1e-6 mm, the middles of half circles too. */
const decimals = 10;
/** sds are written so, rounded up: mm. */
const sdStep = 1e-4;

/** Upwards, to what is written. */
export const writtenSd = (sd: number): number => Math.max(sdStep, Math.ceil(sd / sdStep - 1e-9) * sdStep);

/** The lines and arcs of an edge, mm. */
export const segmentsOf = (
  { unit }: Pick<Scan, 'unit'>,
  { outline }: Pick<ScannedEdge, 'outline'>,
): (Line | Arc)[] => {
  if (outline.kind === 'circle') {
    const { centre, radius } = outline;
    return [
      {
        kind: 'arc',
        centre: { x: centre.x * unit, y: centre.y * unit },
        radius: radius * unit,
        start: 0,
        sweep: 2 * Math.PI,
      },
    ];
  }
  const { chain } = outline;
  const n = chain.x.length;
  return chain.sides.map(({ bulge }, k): Line | Arc => {
    const next = (k + 1) % n;
    const from = { x: chain.x[k]! * unit, y: chain.y[k]! * unit };
    const to = { x: chain.x[next]! * unit, y: chain.y[next]! * unit };
    if (Math.abs(bulge) < 1e-9) return { kind: 'line', from, to };
    const dx = to.x - from.x;
    const dy = to.y - from.y;
    // From the middle of the chord to the centre, in chords, to the left.
    const height = (1 - bulge * bulge) / (4 * bulge);
    const centre = { x: (from.x + to.x) / 2 - dy * height, y: (from.y + to.y) / 2 + dx * height };
    return {
      kind: 'arc',
      centre,
      radius: Math.hypot(from.x - centre.x, from.y - centre.y),
      start: Math.atan2(from.y - centre.y, from.x - centre.x),
      sweep: 4 * Math.atan(bulge),
    };
  });
};

const layerOf = ({ role }: ScannedEdge): string => (role === 'outline' ? 'outline' : 'openings');

export const scanSvg = (scan: Scan, title: string): string => {
  const [width, height] = scan.size;
  const number = (v: number): string => decimal(v, decimals);
  const at = (p: Point): string => `${number(p.x)},${number(height - p.y)}`;
  const lines = [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<!-- ${title.replace(/--+/g, '-').replace(/[^\u{20}-\u{D7FF}\u{E000}-\u{FFFD}]/gu, ' ')} -->`,
    `<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="${number(width)}mm" height="${number(height)}mm" viewBox="0 0 ${number(width)} ${number(height)}" data-edge-sd="${decimal(writtenSd(scan.edgeSd), 4)}">`,
  ];
  for (const layer of ['outline', 'openings']) {
    const edges = scan.edges.filter((edge) => layerOf(edge) === layer);
    if (edges.length === 0) continue;
    // A layer may not bear the id of the one shape in it.
    lines.push(`<g id="${layer}" fill="none" stroke="#000000" stroke-width="0.1">`);
    for (const edge of edges) {
      const id = edge.id === layer ? `${layer}-1` : edge.id;
      const sd = ` data-edge-sd="${decimal(writtenSd(edge.sd), 4)}"`;
      const { outline } = edge;
      if (outline.kind === 'circle') {
        const { x, y } = outline.centre;
        lines.push(
          `<circle id="${id}" cx="${number(x * scan.unit)}" cy="${number(height - y * scan.unit)}" r="${number(outline.radius * scan.unit)}"${sd}/>`,
        );
        continue;
      }
      const n = outline.chain.x.length;
      const corner = (k: number): Point => ({
        x: outline.chain.x[k % n]! * scan.unit,
        y: outline.chain.y[k % n]! * scan.unit,
      });
      const data = [`M${at(corner(0))}`];
      segmentsOf(scan, edge).forEach((s, k) => {
        if (s.kind === 'line') {
          // Z draws the last one.
          if (k < n - 1) data.push(`L${at(corner(k + 1))}`);
          return;
        }
        const arc = (to: Point, sweep: number): void => {
          const large = Math.abs(sweep) > Math.PI ? 1 : 0;
          data.push(`A${number(s.radius)},${number(s.radius)} 0 ${large} ${sweep > 0 ? 0 : 1} ${at(to)}`);
        };
        // Nearly the whole circle is not well told by its ends.
        if (Math.abs(s.sweep) > 5) {
          const half = pointOn(outline.chain, k, 0.5);
          arc({ x: half.x * scan.unit, y: half.y * scan.unit }, s.sweep / 2);
          arc(corner(k + 1), s.sweep / 2);
        } else arc(corner(k + 1), s.sweep);
      });
      lines.push(`<path id="${id}"${sd} d="${data.join('')}Z"/>`);
    }
    lines.push('</g>');
  }
  lines.push('</svg>', '');
  return lines.join('\n');
};

export const scanDxf = (scan: Scan, title: string): string =>
  writeDxf({
    axes: 'y-up',
    remarks: [title, edgeSdRemark(writtenSd(scan.edgeSd))],
    paths: scan.edges.map((edge) => ({
      id: edge.id,
      layer: layerOf(edge),
      drawn: { stroke: undefined },
      segments: segmentsOf(scan, edge),
    })),
  });
