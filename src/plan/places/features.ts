/** What is on a part anyway and can be touched: pointed corners, round openings, straight edges. */
import { roundCentre } from '../../drawing/mark-sites/centre.js';
import type { Shape } from '../../drawing/model/drawing.js';
import { derivativeAt, endOf, type Line, type Path, startOf } from '../../geometry/curve.js';
import { between, distance, length, type Point, subtract, turnedLeft, unit } from '../../geometry/point.js';
import type { PlanUse } from '../../job/job.js';
import { turnBetween } from '../../verdict/edges/edge-samples.js';
import type { Place } from './place.js';

/** A corner turns at least this much; blunter ones are hard to aim at (common practice, no source). */
const pointed = (40 * Math.PI) / 180;
/** Sides of a corner, mm: shorter ones are a nick, not a corner to aim at (common practice, no source). */
const shortestSide = 2;
/** A hole up to this radius, mm, can be centred by eye (common practice, no source). */
export const smallHole = 4;
/** A straight edge to touch is at least this long, mm, and is touched no nearer to its ends than a tenth of it. */
const shortestEdge = 20;
const touchedAt = [0.1, 0.5, 0.9];

export const featurePlaces = (shapes: readonly Shape[], use: readonly PlanUse[]): Place[] =>
  shapes.flatMap((shape) => {
    const closed = shape.paths.filter((path) => path.closed);
    return [
      ...(use.includes('corners') ? closed.flatMap((path) => cornersOf(shape.id, path)) : []),
      ...(use.includes('holes') ? holesOf(shape) : []),
      ...(use.includes('edges') ? closed.flatMap((path) => edgesOf(shape.id, path)) : []),
    ];
  });

const cornersOf = (shape: string, path: Path): Place[] => {
  const sides = path.segments.filter((s) => s.kind !== 'line' || distance(s.from, s.to) > 0);
  return sides.flatMap((side, i): Place[] => {
    const next = sides[(i + 1) % sides.length]!;
    const out = derivativeAt(side, 1);
    const into = derivativeAt(next, 0);
    if (length(out) === 0 || length(into) === 0) return [];
    if (Math.abs(turnBetween(out, into)) < pointed) return [];
    const isNick = [side, next].some((s) => distance(startOf(s), endOf(s)) < shortestSide);
    return isNick ? [] : [{ kind: 'corner', at: endOf(side), shape }];
  });
};

/** Round openings; the outline's own circle too. */
const holesOf = (shape: Shape): Place[] => {
  const at = roundCentre(shape);
  const radius = shape.paths.length === 1 ? radiusOf(shape.paths[0]!) : undefined;
  if (at === undefined || radius === undefined || radius <= 0) return [];
  return [{ kind: radius <= smallHole ? 'hole' : 'rim', at, shape: shape.id }];
};

const radiusOf = ({ segments }: Path): number | undefined => {
  const [first] = segments;
  if (first?.kind !== 'arc') return undefined;
  return segments.every((s) => s.kind === 'arc' && Math.abs(s.radius - first.radius) < 1e-6)
    ? first.radius
    : undefined;
};

const edgesOf = (shape: string, path: Path): Place[] =>
  path.segments.flatMap((s): Place[] => {
    if (s.kind !== 'line' || distance(s.from, s.to) < shortestEdge) return [];
    const normal = normalOf(s);
    return touchedAt.map((t) => ({ kind: 'edge', at: between(s.from, s.to, t), shape, normal }));
  });

const normalOf = ({ from, to }: Line): Point => turnedLeft(unit(subtract(to, from)));
