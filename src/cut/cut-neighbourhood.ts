/** From drawn openings to beam paths, for openings that may have to do with one another: placed, offset, merged, fitted back. */
import type { Shape } from '../drawing/model/drawing.js';
import { identity, keepsCircles, type Matrix } from '../geometry/affine.js';
import { transformSegment } from '../geometry/curve.js';
import type { Box } from '../geometry/point.js';
import { StoredRing, withPassingRings } from '../geometry/rings/stored-ring.js';
import { segmentToSpans } from '../geometry/spans/arc-spline.js';
import {
  origins,
  type Ring,
  ringLength,
  spanToCurve,
  transformSpan,
  withPassingSpans,
} from '../geometry/spans/span.js';
import type { Job } from '../job/job.js';
import type { Finding } from './findings/finding.js';
import { judgeNeighbourhood } from './findings/judge-neighbourhood.js';
import type { Land } from './findings/lands.js';
import type { Panel } from './findings/panel.js';
import type { Removal } from './findings/removal.js';
import { type Existing, existingRegions, unite } from './offset/existing.js';
import { namedByEdges } from './offset/followed-edges.js';
import type { CornerRule } from './offset/offset.js';
import { offsetRegion, share } from './offset/offset-region.js';
import type { Region, RegionRing } from './offset/region.js';
import { nestingOfRings } from './offset/regions.js';
import { fitBack } from './offset/smooth.js';

/** How an opening comes from the drawing to the machine. */
export interface Way {
  /** Design, face included -> true bed mm. */
  readonly toBed: Matrix;
  /** True bed mm -> what the machine is told: bed map undone, beam offset taken off, display axes. */
  readonly toMachine: Matrix;
  /** How far the beam path lies outside the drawn edge, mm. */
  readonly distance: number;
  readonly pierced: Job['pierced'];
  readonly cut: Job['cut'];
  /** Absent where no outline is drawn. */
  readonly panel: Panel | undefined;
}

export interface BeamRing {
  /** Ids of the shapes whose edge it follows. */
  readonly shapes: readonly string[];
  /** Before it is told to the machine; mm^2, negative round material left standing inside an opening. */
  readonly area: number;
  readonly box: Box;
  /** Those round it, as indices into the rings it comes with, the smallest first. */
  readonly around: readonly number[];
  /** As the machine is told it, and its length, mm. */
  readonly commanded: StoredRing;
  readonly length: number;
}

/** Ids of shapes by what they are drawn as; a shape of several paths may be more than one of these. */
export interface DrawnShapes {
  /** With a path that encloses something, once for each. */
  readonly closed: string[];
  /** With a path that does not close. */
  readonly open: string[];
  /** That close but enclose nothing. */
  readonly empty: string[];
  readonly duplicates: readonly { readonly shape: string; readonly of: string }[];
}

/** What becomes of openings cut together. */
export interface NeighbourhoodCut {
  readonly rings: readonly BeamRing[];
  /** Thinner than the smallest one allowed. */
  readonly lands: readonly Land[];
  /** Where the material may no longer hang together. */
  readonly removal?: Removal;
  /** True bed mm. */
  readonly findings: readonly Finding[];
  readonly drawn: DrawnShapes;
  /** Ids of shapes that are drawn as islands, once for each. */
  readonly islands: readonly string[];
}

/** Cuts a neighbourhood; of everything it makes on the way only the rings told to the machine stay. */
export const cutNeighbourhood = (openings: readonly Shape[], way: Way): NeighbourhoodCut =>
  withPassingRings(() => {
    const { drawn, islands, existing, beams } = beamRegions(openings, way);
    const named = drawn.rings.map((r) => ({ name: r.shape, ring: r.ring }));
    const judged = judgeNeighbourhood({
      ...way,
      drawn: named,
      islands,
      existing,
      beams,
      smallestLand: way.cut.smallestLand,
    });
    const { lands, removal, findings } = judged;
    const rings = judged.beams.flatMap((region) => region.rings);
    const nesting = nestingOfRings(rings.map((r) => r.ring));
    return {
      rings: rings.map((r, i) => finish(r, nesting.around(i), way)),
      lands,
      findings,
      ...(removal === undefined ? {} : { removal }),
      islands: islands.flatMap(({ shapes }) => shapes),
      drawn: {
        closed: named.map(({ name }) => name),
        open: [...drawn.open],
        empty: [...drawn.empty],
        duplicates: drawn.duplicates,
      },
    };
  });

/**
 * Placed, offset and merged. Where two moved curves cross at a sharp angle their crossing runs off by more than the
 * curves themselves do; then all is done once more with arcs as much nearer to the curves.
 */
export const beamRegions = (openings: readonly Shape[], way: OffsetWay): Offset => {
  const { tolerance, corners } = way.cut;
  const first = offsetAll(openings, way, tolerance * share.arcs);
  const gain = largestGain(first.beams);
  // Where drawn openings overlap, the corners of their union are crossings too, and the offset starts from them; a
  // mitred tip over one repeats an error of its edges' directions some lengths away.
  const joined = largestGain(first.existing.filter((region) => isJoined(region, first.drawn.crossed)));
  const needed = Math.min(0.9 / gain, joined > 1 ? (corners === 'mitre' ? 0.005 : 0.05) / joined : 1);
  if (share.arcs <= needed) return first;
  return offsetAll(openings, way, tolerance * Math.max(needed, 0.002));
};

/** A region with corners where drawn edges cross: made of several openings, or of one that crosses itself. */
const isJoined = (region: Region, crossed: ReadonlySet<string>): boolean =>
  region.rings.some((r) => r.shapes.length > 1 || crossed.has(r.shapes[0]!));

/** As much of a way as the beam's path takes. */
export type OffsetWay = Pick<Way, 'toBed' | 'distance'> & {
  readonly cut: Pick<Job['cut'], 'corners' | 'mitreLimit' | 'tolerance'>;
};

interface Offset {
  readonly drawn: Existing['drawn'];
  readonly islands: Existing['islands'];
  readonly existing: Existing['regions'];
  readonly beams: readonly Region[];
}

const offsetAll = (
  openings: readonly Shape[],
  { toBed, distance, cut }: OffsetWay,
  arcTolerance: number,
): Offset => {
  const polygons = Math.min(cut.tolerance * share.arcs, arcTolerance);
  const made = existingRegions(openings, toBed, { arcs: arcTolerance, polygons });
  const { drawn, islands, regions: existing } = made;
  const rule: CornerRule = { corners: cut.corners, mitreLimit: cut.mitreLimit };
  const moved = existing.map((region) =>
    withPassingSpans(() => offsetRegion(region, distance, rule, polygons / share.arcs)),
  );
  const united = unite(
    moved.filter((region) => region.rings.length > 0),
    polygons,
  );
  const beams = namedByEdges(united, existing, drawn.rings);
  return { drawn, islands, existing, beams };
};

/** How many times farther than its curves a crossing may lie off: 1 / cos(turn / 2), the largest of all. */
const largestGain = (regions: readonly Region[]): number => {
  let least = 1;
  for (const region of regions) {
    for (const { ring } of region.rings) least = Math.min(least, ring.cosineOfSharpestTurn());
  }
  return 1 / Math.sqrt(Math.max(1e-12, (1 + least) / 2));
};

/** The ring as the machine is told it, with arcs fitted back. */
const finish = ({ ring, shapes }: RegionRing, around: readonly number[], { toMachine, cut }: Way): BeamRing =>
  withPassingSpans(() => {
    const { tolerance } = cut;
    const commanded = ringThrough(toMachine, ring.spans(), tolerance);
    const fitted = fitBack(commanded, tolerance * share.fit, tolerance * share.fitExact);
    return {
      shapes,
      area: ring.area,
      box: ring.box,
      around,
      commanded: new StoredRing(fitted, { lasts: true }),
      length: ringLength(fitted),
    };
  });

/** Under an uneven bed map a circle becomes an ellipse, which is cut into arcs again. */
const ringThrough = (m: Matrix, ring: Ring, tolerance: number): Ring => {
  if (m.every((value, i) => value === identity[i])) return ring;
  if (keepsCircles(m)) return ring.map((s) => transformSpan(m, s));
  return ring.flatMap((s) =>
    s.radius === 0
      ? [transformSpan(m, s)]
      : segmentToSpans(transformSegment(m, spanToCurve(s)), tolerance * 0.02).map((part) =>
          s.origin === origins.drawn ? part.withOrigin(origins.bent) : part,
        ),
  );
};
