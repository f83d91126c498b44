/**
 * Drawn edges as a touch needs them: nearest place, distance, and on which side the material lies.
 */
import type { Shape } from '../drawing/model/drawing.js';
import { apply, determinant, type Matrix } from '../geometry/affine.js';
import type { Path } from '../geometry/curve.js';
import { boxesMeet, distance, emptyBox, joinBoxes, type Point } from '../geometry/point.js';
import { type NestRing, ringOfPath } from '../geometry/rings/nesting.js';
import { type ExistingStretch, Removed } from '../geometry/rings/removed.js';
import { arcSpansAbout, origins, ringArea, type Span, transformSpan } from '../geometry/spans/span.js';
import { SpanIndex } from '../geometry/spans/span-index.js';
import { boxOfPath, signedAreaNow, sizeOfPath } from '../geometry/stored-path.js';

/** A round edge whose radius is not the drawn one. */
export interface Rim {
  /** Design frame after `face`, mm. */
  readonly centre: Point;
  /** mm, as it is; undefined: unknown. */
  readonly radius?: number;
  readonly drawnRadius: number;
  /** mm: the existing edge lies so far from a drawn one of its role, into the material. */
  readonly setBack: number;
  /** 1: material outside the rim, as round a hole; -1: inside, as of a disc. */
  readonly outside: 1 | -1;
}

/**
 * One edge that can be touched. Design frame after `face`, mm. The existing edge lies `setBack`
 * from the drawn one, into the material.
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

/** What the closed paths around a shape say of sides: the shapes with its role, as drawn. */
export interface EdgeSetting {
  readonly name: string;
  readonly shapes: readonly Shape[];
  /** Every shape with the same role, these included. */
  readonly alike: readonly Shape[];
  /**
   * True where a closed path that lies in no other bounds material on its outside, as an opening
   * does.
   */
  readonly hole: boolean;
  /** mm; see TouchEdge. */
  readonly setBack: number;
  readonly face: Matrix;
}

/**
 * Undefined for shapes without any length, and for one whose edge lies within other ones of its
 * role whole. Of what crosses others of its role only that part is an edge which
 * geometry/rings/nesting.ts says exists.
 */
export const touchEdge = (setting: EdgeSetting, radius?: number | 'unknown'): TouchEdge | undefined => {
  const { name, shapes, face, setBack } = setting;
  const paths = shapes.flatMap((shape) => shape.paths).filter((path) => sizeOfPath(path) > 0);
  const removed = new Removed(ringsAbout(setting, paths));
  const spans: Span[] = [];
  const material: number[] = [];
  const mirror = determinant(face) < 0 ? -1 : 1;
  const addAll = (some: readonly Span[], left: number): void => {
    for (const span of some) {
      spans.push(transformSpan(face, span));
      material.push(mirror * left);
    }
  };
  paths.forEach((path, i) => {
    // What encloses nothing bounds nothing; its left counts as the material's side.
    const isLine = !path.closed || Math.abs(signedAreaNow(path)) <= followed * followed;
    if (isLine) addAll(ringOfPath(path, followed).prepared.spans, mirror);
    else for (const stretch of removed.stretchesOf(i)) addAll(stretch.spans, sideOf(stretch, setting.hole));
  });
  if (spans.length === 0) return undefined;
  const round = radius === undefined ? undefined : roundRim(shapes);
  if (round === undefined)
    return { name, index: new SpanIndex(spans), material: Int8Array.from(material), setBack };
  const { drawnRadius } = round;
  const centre = apply(face, round.centre);
  const [stretch] = removed.stretchesOf(0);
  const runsRound = ringArea(ringOfPath(paths[0]!, followed).prepared.spans) > 0 ? 1 : -1;
  // Outside a counter-clockwise circle lies what is to its right.
  const outside = sideOf(stretch!, setting.hole) === runsRound ? -1 : 1;
  const known = typeof radius === 'number' ? radius : undefined;
  const circle = arcSpansAbout(centre.x, centre.y, known ?? drawnRadius, 0, 2 * Math.PI, origins.drawn);
  return {
    name,
    index: new SpanIndex(circle),
    material: Int8Array.from(circle, () => -outside),
    setBack: 0,
    rim: { centre, drawnRadius, setBack, outside, ...(known === undefined ? {} : { radius: known }) },
  };
};

/**
 * 1 where the material lies to the left of a stretch, -1 to the right: openings enclose what is
 * gone, an outline the material.
 */
const sideOf = ({ outside }: ExistingStretch, hole: boolean): 1 | -1 => ((outside === 1) === hole ? 1 : -1);

/**
 * The paths, and after them every closed one with their role that comes near any of them: they may
 * cross it or hold it.
 */
const ringsAbout = ({ shapes, alike }: EdgeSetting, paths: readonly Path[]): NestRing[] => {
  const own = new Set(shapes.map(({ id }) => id));
  const box = paths.map(boxOfPath).reduce(joinBoxes, emptyBox);
  const others = alike
    .filter(({ id }) => !own.has(id))
    .flatMap((shape) => shape.paths)
    .filter((path) => path.closed && sizeOfPath(path) > 0 && boxesMeet(box, boxOfPath(path)));
  return [...paths, ...others].map((path) => ringOfPath(path, followed));
};

interface Round {
  readonly centre: Point;
  readonly drawnRadius: number;
}

/**
 * Centre and radius of one whole circle, drawn in one or more arcs; undefined for anything else.
 */
export const roundRim = (shapes: readonly Shape[]): Round | undefined => {
  const [path, ...more] = shapes.flatMap((shape) => shape.paths);
  return path === undefined || more.length > 0 ? undefined : roundPath(path);
};

/** The same of one path. */
export const roundPath = (path: Path): Round | undefined => {
  const first = path.segments[0];
  if (!path.closed || first?.kind !== 'arc') return undefined;
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
