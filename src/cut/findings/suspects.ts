/**
 * Which openings a cut may do more to than move their edges. To make the cut of all of them takes longer than the verdict;
 * most openings lie so far from one another, from themselves and from the edge of the panel that nothing can happen.
 */
import Flatbush from 'flatbush';
import type { Shape } from '../../drawing/model/drawing.js';
import type { Matrix } from '../../geometry/affine.js';
import { type Box, growBox, type Point } from '../../geometry/point.js';
import { type StoredRing, withPassingRings } from '../../geometry/rings/stored-ring.js';
import {
  cosineOfTurn,
  distanceToSpan,
  type Ring,
  reversedRing,
  ringLength,
  sineOfTurn,
} from '../../geometry/spans/span.js';
import { shortestBetween } from '../../geometry/spans/span-distance.js';
import { meetings } from '../../geometry/spans/span-intersection.js';
import type { Job } from '../../job/job.js';
import { Links } from '../clusters.js';
import { holds } from '../offset/connected.js';
import { type DrawnRings, ringsOfShapes } from '../offset/regions.js';
import { mayHaveNecks } from './necks.js';
import { panelOf } from './panel.js';

export interface SuspectInput {
  readonly openings: readonly Shape[];
  readonly outline: readonly Shape[];
  readonly toBed: Matrix;
  readonly pierced: Job['pierced'];
  readonly cut: Job['cut'];
  /** How far the beam's path lies outside the drawn edge, mm. */
  readonly distance: number;
}

/** Curves are followed this closely, mm; every length asked for has this much room. */
const followed = 0.01;
const room = 4 * followed;
/** The outline as drawn; half its kerf is counted with the reach. */
const uncorrected = { kerf: 0, compensated: true } as const;
/** A mitre that adds less than this share to the distance is counted along with it. */
const blunt = 1.05;

/** A ring of an opening with how far it reaches in a cut. */
interface Reaching {
  readonly ring: StoredRing;
  readonly spans: Ring;
  /** Of its shape, in the order of the drawing. */
  readonly shape: number;
  /** Corners whose mitres reach farther than the edges do. */
  readonly tips: readonly { readonly at: Point; readonly reach: number }[];
  readonly most: number;
}

/** The suspects in groups that have to do with one another; no opening is in two of them. */
export const suspectsOf = (input: SuspectInput): Shape[][] => withPassingRings(() => groupsOf(input));

const groupsOf = (input: SuspectInput): Shape[][] => {
  const { openings, toBed, outline, pierced, cut, distance } = input;
  const drawn = ringsOfShapes(openings, toBed, followed);
  const places = new Map(openings.map(({ id }, i) => [id, i]));
  // What an edge takes: outwards for openings; of an inlay as far as neighbours have to do with one another.
  const taken =
    cut.kind === 'opening' ? Math.max(0, distance) * blunt + cut.kerf / 2 : Math.max(0, distance) * blunt;
  const rings = drawn.rings.map(({ ring, shape }) => reachingOf(ring, places.get(shape)!, input, taken));
  const suspect = new Set(oddShapes(drawn).map((id) => places.get(id)!));
  const paths = new Map<number, number>();
  for (const { shape } of rings) paths.set(shape, (paths.get(shape) ?? 0) + 1);
  for (const [shape, count] of paths) if (count > 1) suspect.add(shape);
  for (const one of rings) {
    if (!suspect.has(one.shape) && mayChangeAlone(one, input)) suspect.add(one.shape);
  }
  const links = new Links(openings.length);
  forEachNearPair(rings, (a, b) => {
    if (a.shape === b.shape || !mayMeet(a, b, taken)) return;
    suspect.add(a.shape).add(b.shape);
    links.join(a.shape, b.shape);
  });
  if (cut.kind === 'opening') {
    const panel = panelOf(outline, toBed, uncorrected, followed);
    const lost = pierced.compensated ? 0 : pierced.kerf / 2;
    for (const { ring, spans, shape, most } of panel === undefined ? [] : rings) {
      if (suspect.has(shape)) continue;
      const { ax, ay } = spans[0]!;
      if (panel!.isWithin(most + lost + room, ring) || !panel!.holds({ x: ax, y: ay })) suspect.add(shape);
    }
  }
  // What a suspect has to do with is looked at along with it.
  return links
    .groups()
    .filter((group) => group.some((i) => suspect.has(i)))
    .map((group) => group.map((i) => openings[i]!));
};

/** Shapes whose paths are not simply rings of their own. */
const oddShapes = ({ crossed, empty, duplicates }: DrawnRings): string[] => [
  ...crossed,
  ...empty,
  ...duplicates.flatMap(({ shape, of }) => [shape, of]),
];

const reachingOf = (
  ring: StoredRing,
  shape: number,
  { cut, distance }: SuspectInput,
  taken: number,
): Reaching => {
  const spans = ring.spans();
  const tips: { at: Point; reach: number }[] = [];
  if (cut.corners === 'mitre' && distance > 0) {
    let before = spans[spans.length - 1]!;
    for (const span of spans) {
      const ratio = mitreAt(Math.atan2(sineOfTurn(before, span), cosineOfTurn(before, span)));
      const beyond = cut.kind === 'opening' ? cut.kerf / 2 : 0;
      if (ratio > blunt && ratio < cut.mitreLimit * 1.01) {
        tips.push({ at: { x: span.ax, y: span.ay }, reach: distance * ratio + beyond });
      }
      before = span;
    }
  }
  return { ring, spans, shape, tips, most: tips.reduce((most, { reach }) => Math.max(most, reach), taken) };
};

/** How many times as far as its edges a mitred corner reaches; corners that turn the other way do not. */
const mitreAt = (turn: number): number => (turn <= 0 ? 1 : 1 / Math.max(1e-9, Math.cos(turn / 2)));

/** Whether an opening may close in on itself, or a piece fall apart or vanish. */
const mayChangeAlone = ({ ring, spans, most }: Reaching, { cut, distance }: SuspectInput): boolean => {
  const mitre = cut.corners === 'mitre' ? cut.mitreLimit : 1;
  // What is taken from the inside: of an inlay down to its piece, of an opening where the beam is too thick for it.
  const inside = Math.max(0, -distance) * mitre + (cut.kind === 'opening' ? 0 : cut.kerf / 2);
  if (inside > 0) {
    if (ring.area < (inside + room) * ringLength(spans)) return true;
    if (mayHaveNecks(reversedRing(spans), 2 * inside + room)) return true;
  }
  return most > 0 && mayHaveNecks(spans, 2 * most + room);
};

const forEachNearPair = (rings: readonly Reaching[], visit: (a: Reaching, b: Reaching) => void): void => {
  if (rings.length < 2) return;
  const boxes = rings.map(({ ring, most }) => growBox(ring.box, most + room));
  const index = new Flatbush(rings.length);
  for (const { minX, minY, maxX, maxY } of boxes) index.add(minX, minY, maxX, maxY);
  index.finish();
  boxes.forEach(({ minX, minY, maxX, maxY }, i) => {
    for (const j of index.search(minX, minY, maxX, maxY, (k) => k > i)) visit(rings[i]!, rings[j]!);
  });
};

/** Whether what is taken along two rings may meet, or one lies in the other. */
const mayMeet = (a: Reaching, b: Reaching, taken: number): boolean => {
  if (isNearer(a, b, 2 * taken + room)) return true;
  if (tipsReach(a, b, taken) || tipsReach(b, a, taken)) return true;
  const [inner, outer] = a.ring.area < b.ring.area ? [a, b] : [b, a];
  const { ax, ay } = inner.spans[0]!;
  return holds(outer.ring, { x: ax, y: ay });
};

/** Edges that cross may do so far from the ends of both. */
const isNearer = (a: Reaching, b: Reaching, reach: number): boolean => {
  const near = b.ring.spansNear(a.ring.box, reach);
  if (near.length === 0) return false;
  return a.ring
    .spansNear(b.ring.box, reach)
    .some((p) => near.some((q) => shortestBetween(p, q).distance < reach || meetings(p, q).length > 0));
};

const tipsReach = (a: Reaching, b: Reaching, taken: number): boolean =>
  a.tips.some(({ at, reach }) => {
    const farthest = reach + Math.max(taken, b.most) + room;
    const box: Box = { minX: at.x, minY: at.y, maxX: at.x, maxY: at.y };
    const near = b.ring.spansNear(box, farthest);
    if (near.some((span) => distanceToSpan(span, at.x, at.y) < reach + taken + room)) return true;
    return b.tips.some((tip) => Math.hypot(tip.at.x - at.x, tip.at.y - at.y) < reach + tip.reach + room);
  });
