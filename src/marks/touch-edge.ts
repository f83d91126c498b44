/** Drawn edges as a touch needs them: nearest place, distance, and on which side the material lies. */
import type { Shape } from '../drawing/drawing.js';
import { apply, type Matrix } from '../geometry/affine.js';
import { segmentToSpans } from '../geometry/arc-spline.js';
import { type Path, pathBox, transformSegment } from '../geometry/curve.js';
import { signedArea } from '../geometry/measure.js';
import { nestingOfPaths } from '../geometry/nested-paths.js';
import { boxesMeet, distance, type Point } from '../geometry/point.js';
import { arcSpansAbout, origins, type Span } from '../geometry/span.js';
import { SpanIndex } from '../geometry/span-index.js';

/** A round edge whose radius is not the drawn one. */
export interface Rim {
  /** Design frame after `face`, mm. */
  readonly centre: Point;
  /** mm, as it is; undefined: unknown. */
  readonly radius?: number;
  readonly drawnRadius: number;
  /** 1: material outside the rim, as round a hole; -1: inside, as of a disc. */
  readonly outside: 1 | -1;
}

/**
 * One edge that can be touched. Design frame after `face`, mm. The existing edge lies `setBack` from the drawn one,
 * into the material.
 */
export interface TouchEdge {
  /** As the job calls it. */
  readonly name: string;
  readonly index: SpanIndex;
  /** Per span of the index: 1 where the material lies to its left, -1 to its right. */
  readonly material: Int8Array;
  readonly setBack: number;
  readonly rim?: Rim;
}

/** Curves are followed by arcs within this, mm: far below any reading. */
const followed = 2e-4;
/** How near to the curve nesting is decided, mm. */
const nestingTolerance = 0.05;

/** What the closed paths around a shape say of sides: the shapes with its role, as drawn. */
export interface EdgeSetting {
  readonly name: string;
  readonly shapes: readonly Shape[];
  /** Every shape with the same role, these included. */
  readonly alike: readonly Shape[];
  /** True where a closed path that lies in no other bounds material on its outside, as an opening does. */
  readonly hole: boolean;
  /** mm; see TouchEdge. */
  readonly setBack: number;
  readonly face: Matrix;
}

/** Undefined for shapes without any length. The side follows from nesting, never from the winding. */
export const touchEdge = (setting: EdgeSetting, radius?: number | 'unknown'): TouchEdge | undefined => {
  const { name, shapes, face, setBack } = setting;
  const paths = shapes.flatMap((shape) => shape.paths);
  const outsides = materialOutside(setting, paths);
  const round = radius === undefined ? undefined : roundRim(shapes);
  const spans: Span[] = [];
  const material: number[] = [];
  paths.forEach((path, i) => {
    const segments = path.segments.map((s) => transformSegment(face, s));
    const counterClockwise = signedArea({ segments, closed: path.closed }) > 0;
    // An open path bounds nothing; its left counts as the material's side.
    const left = !path.closed || counterClockwise !== outsides[i] ? 1 : -1;
    for (const s of segments) {
      for (const span of segmentToSpans(s, followed)) {
        spans.push(span);
        material.push(left);
      }
    }
  });
  if (spans.length === 0) return undefined;
  if (round === undefined)
    return { name, index: new SpanIndex(spans), material: Int8Array.from(material), setBack };
  const { drawnRadius } = round;
  const centre = apply(face, round.centre);
  const outside = outsides[0] ? 1 : -1;
  const known = typeof radius === 'number' ? radius : undefined;
  const circle = arcSpansAbout(centre.x, centre.y, known ?? drawnRadius, 0, 2 * Math.PI, origins.drawn);
  return {
    name,
    index: new SpanIndex(circle),
    material: Int8Array.from(circle, () => -outside),
    setBack: 0,
    rim: { centre, drawnRadius, outside, ...(known === undefined ? {} : { radius: known }) },
  };
};

/** For each path whether the material lies outside it. */
const materialOutside = ({ alike, hole }: EdgeSetting, paths: readonly Path[]): boolean[] => {
  const boxes = paths.map(pathBox);
  const others = alike
    .flatMap((shape) => shape.paths)
    .filter((path) => path.closed && !paths.includes(path))
    .filter((path) => boxes.some((box) => boxesMeet(box, pathBox(path))));
  const rings = [...paths.filter((path) => path.closed), ...others];
  const depths = nestingOfPaths(rings, nestingTolerance);
  return paths.map((path) => (path.closed ? (depths[rings.indexOf(path)]! % 2 === 0) === hole : hole));
};

interface Round {
  readonly centre: Point;
  readonly drawnRadius: number;
}

/** Centre and radius of one whole circle, drawn in one or more arcs; undefined for anything else. */
export const roundRim = (shapes: readonly Shape[]): Round | undefined => {
  const [path, ...more] = shapes.flatMap((shape) => shape.paths);
  const first = path?.segments[0];
  if (path === undefined || more.length > 0 || !path.closed || first?.kind !== 'arc') return undefined;
  const { centre, radius } = first;
  let sweep = 0;
  for (const s of path.segments) {
    if (s.kind !== 'arc' || distance(s.centre, centre) > same || Math.abs(s.radius - radius) > same)
      return undefined;
    sweep += s.sweep;
  }
  return Math.abs(Math.abs(sweep) - 2 * Math.PI) > 1e-3 ? undefined : { centre, drawnRadius: radius };
};

/** Arcs that differ by less, mm, are of one circle. */
const same = 0.01;
