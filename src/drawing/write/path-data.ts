/** A path as SVG path data: lines, arcs, elliptical arcs and cubics stay what they are. */
import type { Matrix } from '../../geometry/affine.js';
import {
  type EllipticalArc,
  endOf,
  type Path,
  type Segment,
  startOf,
  transformPath,
} from '../../geometry/curve.js';
import { add, cross, dot, length, type Point, scale, subtract } from '../../geometry/point.js';
import { decimal } from './cut-file.js';

/**
 * Path data of a path moved by a matrix, which has to turn y over where the page counts it
 * downwards.
 * @param decimals of the numbers written, in the units the matrix leads to
 */
export const pathData = (path: Path, matrix: Matrix, decimals = 3): string => {
  const { segments, closed } = transformPath(matrix, path);
  const first = segments[0];
  if (!first) return '';
  const at = (p: Point): string => `${decimal(p.x, decimals)},${decimal(p.y, decimals)}`;
  const steps = segments.map((s, i) =>
    closed && s.kind === 'line' && i === segments.length - 1 ? '' : segmentData(s, at, decimals),
  );
  return `M${at(startOf(first))}${steps.join('')}${closed ? 'Z' : ''}`;
};

const segmentData = (s: Segment, at: (p: Point) => string, decimals: number): string => {
  if (s.kind === 'line') return `L${at(s.to)}`;
  if (s.kind === 'cubic') return `C${at(s.control1)} ${at(s.control2)} ${at(s.to)}`;
  const { radii, turn, flag } = principalAxes(s);
  const size = `${decimal(radii[0], decimals)},${decimal(radii[1], decimals)}`;
  const lean = decimal((turn * 180) / Math.PI, decimals);
  return arcParts(s)
    .map((part) => `A${size} ${lean} 0 ${flag} ${at(endOf(part))}`)
    .join('');
};

type AnyArc = Extract<Segment, { kind: 'arc' | 'elliptical-arc' }>;

/**
 * An arc given by its end points is ill-conditioned near half a turn, so none is longer than a
 * third of one.
 */
const arcParts = <A extends AnyArc>(arc: A): A[] => {
  const parts = Math.max(1, Math.ceil(Math.abs(arc.sweep) / ((2 * Math.PI) / 3) - 1e-9));
  const sweep = arc.sweep / parts;
  return Array.from({ length: parts }, (_, i) => ({ ...arc, start: arc.start + i * sweep, sweep }));
};

/**
 * Radii along the axes of the ellipse, the angle of the first, and the flag: 1 where angles grow
 * from x to y.
 */
const principalAxes = (arc: AnyArc): { radii: [number, number]; turn: number; flag: 0 | 1 } => {
  if (arc.kind === 'arc') return { radii: [arc.radius, arc.radius], turn: 0, flag: arc.sweep > 0 ? 1 : 0 };
  const { long, short } = ellipseAxes(arc);
  return {
    radii: [length(long), length(short)],
    turn: Math.atan2(long.y, long.x),
    flag: arc.sweep > 0 === cross(arc.u, arc.v) > 0 ? 1 : 0,
  };
};

/** The longest radius, the one square to it, and the parameter at which the longest is reached. */
export const ellipseAxes = ({
  u,
  v,
}: EllipticalArc): { readonly long: Point; readonly short: Point; readonly at: number } => {
  // The derivative of the radius vanishes there.
  const at = Math.atan2(2 * dot(u, v), dot(u, u) - dot(v, v)) / 2;
  return {
    long: add(scale(u, Math.cos(at)), scale(v, Math.sin(at))),
    short: subtract(scale(v, Math.cos(at)), scale(u, Math.sin(at))),
    at,
  };
};
