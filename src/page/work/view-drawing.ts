/** A drawing as the sheet draws it: path data, names, and what was made of it. */
import {
  type Box,
  listDrawing,
  listJob,
  listJson,
  type Path,
  type Point,
  pathData,
  type Segment,
} from '../../internal.js';
import { counted } from '../text.js';
import type { DrawingView, ShapeView } from './answers.js';

type Listed = ReturnType<typeof listJob>;

/** Above so many segments curves are drawn as lines, as near as a large screen shows. */
const mostExact = 40_000;
/** Shapes drawn and offered by touch; of more the outline and the openings go first. */
const mostShapes = 6000;

export const viewOfDrawing = (key: string, listed: Listed): DrawingView => {
  const { drawing, roles } = listed;
  const { box } = drawing;
  const size = Math.max(box.maxX - box.minX, box.maxY - box.minY);
  let count = 0;
  for (const shape of drawing.shapes) for (const path of shape.paths) count += path.segments.length;
  const exact = count <= mostExact;
  const step = size / 1600;
  const rows = listed.rows;
  const shapes: ShapeView[] = [];
  const wanted = drawing.shapes.length <= mostShapes ? undefined : new Set(['opening', 'outline', 'mark']);
  drawing.shapes.forEach((shape, i) => {
    const row = rows[i]!;
    if (wanted !== undefined && !wanted.has(row.role)) return;
    const d = shape.paths.map((path) => (exact ? pathData(path, upright, 3) : lineData(path, step))).join('');
    const { id, role, box: own, closed, kind, layer, stroke, fill } = row;
    const round = isRound(shape.paths);
    shapes.push({ id, role, d, box: own, closed, round, element: kind, layer, stroke, fill });
  });
  const json = listJson({ ...listed, rows: [] });
  const marks = listed.marks.map(({ name, at }) => ({ name, at }));
  const openings = roles.openings.length;
  const width = box.maxX - box.minX;
  const facts =
    size < 0
      ? 'empty'
      : `${width.toFixed(1)} × ${(box.maxY - box.minY).toFixed(1)} mm, ${counted(openings, 'opening')}`;
  return {
    key,
    name: drawing.path,
    shapes,
    marks,
    box: size < 0 ? { minX: 0, minY: 0, maxX: 1, maxY: 1 } : box,
    facts,
    warnings: listed.warnings,
    rolesLine: json.rolesLine ?? undefined,
    ways: (json.readings ?? []).map(({ says, rolesLine }) => ({ says, rolesLine: rolesLine ?? undefined })),
    asksUnit: drawing.scale !== undefined,
  };
};

export { listDrawing, listJob };

/** One whole circle, in one arc or more. */
const isRound = (paths: readonly Path[]): boolean => {
  const [path, ...more] = paths;
  if (path === undefined || more.length > 0 || !path.closed || path.segments.length > 8) return false;
  const [first] = path.segments;
  if (first?.kind !== 'arc') return false;
  const { centre, radius } = first;
  const same = 1e-6 * radius;
  return path.segments.every(
    (s) =>
      s.kind === 'arc' &&
      Math.hypot(s.centre.x - centre.x, s.centre.y - centre.y) <= same &&
      Math.abs(s.radius - radius) <= same,
  );
};

const upright = [1, 0, 0, 1, 0, 0] as const;

/** Lines between points that lie at least `step` apart. */
const lineData = ({ segments, closed }: Path, step: number): string => {
  let last: Point | undefined;
  let d = '';
  const go = (p: Point, always: boolean): void => {
    if (last !== undefined && !always && Math.abs(p.x - last.x) + Math.abs(p.y - last.y) < step) return;
    d += `${last === undefined ? 'M' : 'L'}${p.x.toFixed(2)},${p.y.toFixed(2)}`;
    last = p;
  };
  segments.forEach((segment, i) => {
    const points = pointsOf(segment, step);
    points.forEach((p, k) => {
      go(p, i === segments.length - 1 && k === points.length - 1);
    });
  });
  return closed ? `${d}Z` : d;
};

/** Points of a segment from its beginning to its end; enough of a curve to look like one. */
export const pointsOf = (s: Segment, step: number): Point[] => {
  if (s.kind === 'line') return [s.from, s.to];
  const reach =
    s.kind === 'cubic'
      ? Math.hypot(s.control1.x - s.from.x, s.control1.y - s.from.y) +
        Math.hypot(s.control2.x - s.control1.x, s.control2.y - s.control1.y) +
        Math.hypot(s.to.x - s.control2.x, s.to.y - s.control2.y)
      : Math.abs(s.sweep) *
        (s.kind === 'arc' ? s.radius : Math.max(Math.hypot(s.u.x, s.u.y), Math.hypot(s.v.x, s.v.y)));
  const parts = Math.max(1, Math.min(64, Math.ceil(reach / (4 * step))));
  return Array.from({ length: parts + 1 }, (_, k) => pointAt(s, k / parts));
};

const pointAt = (s: Exclude<Segment, { kind: 'line' }>, t: number): Point => {
  if (s.kind === 'cubic') {
    const u = 1 - t;
    const [a, b, c, e] = [u * u * u, 3 * u * u * t, 3 * u * t * t, t * t * t];
    return {
      x: a * s.from.x + b * s.control1.x + c * s.control2.x + e * s.to.x,
      y: a * s.from.y + b * s.control1.y + c * s.control2.y + e * s.to.y,
    };
  }
  const angle = s.start + t * s.sweep;
  const [c, w] = [Math.cos(angle), Math.sin(angle)];
  return s.kind === 'arc'
    ? { x: s.centre.x + s.radius * c, y: s.centre.y + s.radius * w }
    : { x: s.centre.x + s.u.x * c + s.v.x * w, y: s.centre.y + s.u.y * c + s.v.y * w };
};

export const isIn = (box: Box, { x, y }: Point, reach: number): boolean =>
  x > box.minX - reach && x < box.maxX + reach && y > box.minY - reach && y < box.maxY + reach;
