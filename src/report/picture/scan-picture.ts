/**
 * The scan with what was found in it: every line and arc over the picture, corners, radii, what the
 * points depart from the edge drawn larger, and what was left out. In units of the picture's
 * pixels, shrunk to `width`.
 */
import type { Point } from '../../geometry/point.js';
import { pointOn, radiusOf } from '../../scan/curves/chain.js';
import type { Scan, ScannedEdge } from '../../scan/scan.js';
import { around, LabelRoom } from './label-room.js';
import { letteringWidth, wrappedWriting } from './lettering.js';
import { leadLine, rimmed } from './picture-signs.js';
import { face } from './role-style.js';
import { palette, weights } from './signs.js';
import { element, writing } from './svg-text.js';

export interface ScanInPicture {
  readonly scan: Scan;
  /** The scan itself as a data URI, shrunk or not. */
  readonly image: string;
  /** Of the picture to be made, units. */
  readonly width: number;
}

/** Departures are drawn so many times as large. */
const enlarged = 60;
/** Points that make one of the curve of departures. */
const together = 12;
/**
 * How much of the scan is covered with paper: the darkest scan then stands out from ink and error
 * by 3 to 1.
 */
export const veil = 0.75;

/** All edges are ink: told apart by line. */
const edgeStyle = {
  opening: { stroke: palette.ink, 'stroke-width': weights.existing },
  island: { stroke: palette.ink, 'stroke-width': weights.existing, 'stroke-dasharray': '5 3' },
  outline: { stroke: palette.ink, 'stroke-width': 2 },
} as const;

export const scanPictureSvg = ({ scan, image, width }: ScanInPicture): string => {
  const [wide, high] = scan.size;
  const scale = width / wide;
  const height = high * scale;
  const x = (u: number): number => u * scan.unit * scale;
  const y = (v: number): number => height - v * scan.unit * scale;
  const parts: string[] = [
    element('image', { x: 0, y: 0, width, height, href: image, preserveAspectRatio: 'none' }),
    element('rect', { x: 0, y: 0, width, height, fill: palette.paper, 'fill-opacity': veil }),
  ];
  const found = scan.edges.map((edge) => edgeParts(edge, x, y, scale * scan.unit, scan.unit));
  for (const { drawn } of found) parts.push(...drawn);
  const room = new LabelRoom({ minX: 0, minY: 0, maxX: width, maxY: height });
  const words = found.flatMap(({ words }) => words);
  for (const one of [...words.filter(({ isName }) => isName), ...words.filter(({ isName }) => !isName)])
    parts.push(labelOf(one, room));
  const size = Math.max(10, width / 90);
  const note = `Edges of openings thin, of islands dashed, of the outline heavy; departures of the points from them ${enlarged} times enlarged, in the colour of errors. Left out: ${scan.dropped.specks} specks, ${scan.dropped.cutOff} edges cut off.`;
  const lines = wrappedWriting(note, width - size, size);
  const foot = (1.4 * lines.length + 0.8) * size;
  const letters = { 'font-family': face, 'font-size': size, fill: palette.ink };
  parts.push(
    element('rect', { x: 0, y: height, width, height: foot, fill: palette.paper }),
    ...lines.map((line, i) => writing(size / 2, height + (1.4 * i + 1.4) * size, line, letters)),
  );
  return element(
    'svg',
    {
      xmlns: 'http://www.w3.org/2000/svg',
      width,
      height: height + foot,
      viewBox: `0 0 ${width} ${height + foot}`,
    },
    ...parts,
  );
};

const edgeParts = (
  { id, role, outline, traced }: ScannedEdge,
  x: (u: number) => number,
  y: (v: number) => number,
  scale: number,
  unit: number,
): { readonly drawn: string[]; readonly words: Words[] } => {
  const style = edgeStyle[role];
  const size = Math.max(8, Math.min(14, scale * 40));
  const word = (u: number, v: number, text: string, isName: boolean): Words => ({
    at: { x: u, y: v },
    text,
    size,
    isName,
  });
  const departures = departureCurve(traced.points, outline.residual, x, y, scale);
  if (outline.kind === 'circle') {
    const { centre, radius } = outline;
    return {
      drawn: [
        departures,
        element('circle', { cx: x(centre.x), cy: y(centre.y), r: radius * scale, fill: 'none', ...style }),
      ],
      words: [word(x(centre.x), y(centre.y), id, true)],
    };
  }
  const { chain } = outline;
  const n = chain.x.length;
  const data = [`M${x(chain.x[0]!).toFixed(2)},${y(chain.y[0]!).toFixed(2)}`];
  const parts: string[] = [];
  const words: Words[] = [];
  chain.sides.forEach((side, k) => {
    const next = (k + 1) % n;
    const to = `${x(chain.x[next]!).toFixed(2)},${y(chain.y[next]!).toFixed(2)}`;
    const radius = radiusOf(chain, k);
    if (radius === undefined || side.kind === 'line') data.push(`L${to}`);
    else {
      const r = (radius * scale).toFixed(2);
      data.push(`A${r},${r} 0 ${Math.abs(side.bulge) > 1 ? 1 : 0} ${side.bulge > 0 ? 0 : 1} ${to}`);
      const middle = pointOn(chain, k, 0.5);
      if (n <= 40) words.push(word(x(middle.x), y(middle.y), `R ${(radius * unit).toFixed(2)}`, false));
    }
    parts.push(element('circle', { cx: x(chain.x[k]!), cy: y(chain.y[k]!), r: 2, fill: palette.ink }));
  });
  const middle = chain.x.reduce((sum, v) => sum + v, 0) / n;
  const height = chain.y.reduce((sum, v) => sum + v, 0) / n;
  return {
    drawn: [departures, element('path', { d: `${data.join('')}Z`, fill: 'none', ...style }), ...parts],
    words: [word(x(middle), y(height), id, true), ...words],
  };
};

/** The name of an edge, or the radius of an arc, and where it belongs; picture units. */
interface Words {
  readonly at: Point;
  readonly text: string;
  readonly size: number;
  readonly isName: boolean;
}

/**
 * On its place where that is free, else beside it; a radius that finds no room nearby is left out.
 */
const labelOf = ({ at, text, size, isName }: Words, room: LabelRoom): string => {
  const wanted = { width: letteringWidth(text, size) + 4, height: size + 2 };
  const box = around(at, wanted.width, wanted.height);
  const isFree = isName && room.isFree(box);
  if (isFree) room.take(box);
  const label = isFree ? { at } : room.beside(at, wanted, { gap: 5, ...(isName ? {} : { farthest: 30 }) });
  if (label === undefined) return '';
  return (
    ('lead' in label && label.lead !== undefined ? leadLine(label.lead) : '') +
    rimmed(label.at.x, label.at.y + 0.36 * size, text, {
      'font-family': face,
      'font-size': size,
      'text-anchor': 'middle',
      fill: palette.ink,
    })
  );
};

const departureCurve = (
  points: ScannedEdge['traced']['points'],
  residual: Float64Array,
  x: (u: number) => number,
  y: (v: number) => number,
  scale: number,
): string => {
  const n = points.x.length;
  const places: string[] = [];
  for (let i = 0; i < n; i += together) {
    let sum = 0;
    let known = 0;
    for (let j = i; j < i + together; j += 1) {
      const r = residual[j % n]!;
      if (Number.isNaN(r)) continue;
      sum += r;
      known += 1;
    }
    if (known === 0) continue;
    const at = (i + (together >> 1)) % n;
    const before = (at + n - 4) % n;
    const after = (at + 4) % n;
    const tx = points.x[after]! - points.x[before]!;
    const ty = points.y[after]! - points.y[before]!;
    const length = Math.hypot(tx, ty) || 1;
    const away = (enlarged * sum) / known;
    places.push(
      `${(x(points.x[at]!) - (ty / length) * away * scale).toFixed(1)},${(y(points.y[at]!) - (tx / length) * away * scale).toFixed(1)}`,
    );
  }
  return element('polygon', {
    points: places.join(' '),
    fill: 'none',
    stroke: palette.error,
    'stroke-width': 0.6,
  });
};
