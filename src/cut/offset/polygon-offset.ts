/**
 * The second engine, on polygons: it serves where the exact one finds no consistent boundary (edges that run along one
 * another within rounding, many corners in one point). Curves are flattened to a tenth of the tolerance first; what
 * comes back is polygons again, fitted with arcs like every other result.
 */
import {
  Clipper64,
  ClipperOffset,
  ClipType,
  EndType,
  FillRule,
  JoinType,
  type Path64,
  type Paths64,
  PathType,
} from 'clipper2-ts';
import {
  lineSpan,
  origins,
  type Ring,
  ringArea,
  type Span,
  spanLength,
  spanPoint,
} from '../../geometry/spans/span.js';
import { type CornerRule, mitredTips } from './offset.js';

/** Integer steps in a millimetre: a nanometre each. */
const steps = 1e6;

/**
 * Offsets the rings of one region; outward for a positive distance. Corners are rounded by the engine; mitred tips, whose
 * directions facets would spoil, come from the curves themselves.
 */
export const offsetPolygons = (
  rings: readonly Ring[],
  distance: number,
  rule: CornerRule,
  tolerance: number,
): Ring[] => {
  const clean = combined(
    ClipType.Union,
    rings.map((r) => toPath(r, tolerance)),
  );
  const engine = new ClipperOffset(2, tolerance * steps);
  engine.addPaths(clean, JoinType.Round, EndType.Polygon);
  const round: Paths64 = [];
  engine.execute(distance * steps, round);
  const tips = mitredTips(rings, distance, rule).map(
    (tip): Path64 => tip.map((p) => ({ x: Math.round(p.x * steps), y: Math.round(p.y * steps) })),
  );
  // All round one way, so that overlapping tips add up.
  const turned = tips.map((tip) => (isPositive(tip) ? tip : tip.reverse()));
  const out =
    turned.length === 0
      ? round
      : distance > 0
        ? combined(ClipType.Union, [...round, ...turned])
        : combined(ClipType.Difference, round, turned);
  return out.map(toRing).filter((ring) => ring.length >= 3);
};

/** The union of regions given as rings that keep the region on their left. */
export const unitePolygons = (rings: readonly Ring[], tolerance: number): Ring[] =>
  combined(
    ClipType.Union,
    rings.map((r) => toPath(r, tolerance)),
  )
    .map(toRing)
    .filter((ring) => ring.length >= 3);

/** The first rings without the second ones; both keep their inside on their left. */
export const subtractPolygons = (rings: readonly Ring[], less: readonly Ring[], tolerance: number): Ring[] =>
  combined(
    ClipType.Difference,
    rings.map((r) => toPath(r, tolerance)),
    less.map((r) => toPath(r, tolerance)),
  )
    .map(toRing)
    .filter((ring) => ring.length >= 3);

/** The package's engine without its collection of all functions, which would be loaded with every job. */
const combined = (how: ClipType, subject: Paths64, clip?: Paths64): Paths64 => {
  const engine = new Clipper64();
  const solution: Paths64 = [];
  engine.addPaths(subject, PathType.Subject);
  if (clip !== undefined) engine.addPaths(clip, PathType.Clip);
  engine.execute(how, FillRule.NonZero, solution);
  return solution;
};

/** Whether a path runs counter-clockwise (shoelace formula). */
const isPositive = (path: Path64): boolean => {
  let twice = 0;
  let last = path.at(-1);
  for (const p of path) {
    if (last !== undefined) twice += (last.y + p.y) * (last.x - p.x);
    last = p;
  }
  return twice >= 0;
};

const toPath = (ring: Ring, tolerance: number): Path64 => {
  const path: Path64 = [];
  for (const s of ring) {
    // A chord of an arc of radius r and turn w lies r (1 - cos(w/2)) off it.
    const count =
      s.radius === 0
        ? 1
        : Math.max(
            1,
            Math.ceil(Math.abs(s.sweep) / (2 * Math.acos(1 - Math.min(0.5, tolerance / s.radius)))),
          );
    for (let i = 0; i < count; i++) {
      const p = spanPoint(s, i / count);
      path.push({ x: Math.round(p.x * steps), y: Math.round(p.y * steps) });
    }
  }
  return path;
};

const toRing = (path: Path64): Ring => {
  const points = path.map((p) => ({ x: p.x / steps, y: p.y / steps }));
  const spans: Span[] = [];
  points.forEach((p, i) => {
    const q = points[(i + 1) % points.length]!;
    const s = lineSpan(p.x, p.y, q.x, q.y, origins.curve);
    if (spanLength(s) > 1e-6) spans.push(s);
  });
  return ringArea(spans) === 0 ? [] : spans;
};
