/**
 * Which places of a job are enlarged, the one that decides the verdict first, and which way the new
 * edge lies there.
 */

import { apply, type Matrix } from '../../../geometry/affine.js';
import { derivativeAt, type Path, startOf } from '../../../geometry/curve.js';
import { cross, distance, dot, length, type Point, scale, unit } from '../../../geometry/point.js';
import { isInside, polygonOfPath } from '../../../geometry/rings/polygon-of-path.js';
import type { Job } from '../../../job/job.js';
import type { Check } from '../../../verdict/check-result.js';
import { verdictOrder } from '../../../verdict/explain.js';
import type { PictureDetail, PictureFinding, PictureInput, PictureShape } from '../picture-input.js';

/** mm; a shorter derivative has no direction: a cubic with its handle drawn in. */
const noDirection = 1e-9;

/**
 * Enlarged are what the cut spoils, the openings that need most, the thinnest land and the sharpest
 * corner.
 */
const mostPlaces = 2;

type OpeningCheck = Check['openings'][number];

/** The openings by what they need, the worst first, where a place of theirs is known. */
const worstFirst = (check: Check | undefined): (OpeningCheck & { readonly worstPoint: Point })[] => {
  const needs = (o: OpeningCheck): number => o.neededClearance ?? check!.clearance - o.margin;
  return (check?.openings ?? [])
    .flatMap((o) => (o.worstPoint === undefined ? [] : [{ ...o, worstPoint: o.worstPoint }]))
    .sort((a, b) => verdictOrder.indexOf(b.verdict) - verdictOrder.indexOf(a.verdict) || needs(b) - needs(a));
};

export const detailsInPicture = ({
  job,
  check,
  findings,
  thinLands,
  placed,
  edges,
  toDisplay,
}: {
  readonly job: Job;
  readonly check: Check | undefined;
  readonly findings: readonly PictureFinding[];
  readonly thinLands: NonNullable<PictureInput['thinLands']>;
  readonly placed: readonly PictureShape[];
  readonly edges: readonly PictureShape[];
  readonly toDisplay: Matrix;
}): PictureDetail[] => {
  const details: PictureDetail[] = [];
  const width = detailWidth(job);
  const isShown = (at: Point): boolean => details.some((one) => distance(one.at, at) < one.width / 2);
  const isSpoiled = check?.objections?.some(({ kind }) => kind === 'spoiled') ?? false;
  const [finding] = findings;
  if (finding !== undefined && (isSpoiled || check === undefined))
    details.push({
      at: finding.at,
      width: finding.width ?? 2 * width,
      label: 'The piece is spoilt: !1',
    });
  const worst = worstFirst(check);
  const shown = worst.filter(({ verdict }, i) => i === 0 || verdict !== 'fits').slice(0, mostPlaces);
  const byId = new Map([...edges, ...placed].map((shape) => [shape.id, shape]));
  for (const { id, verdict, worstPoint, neededClearance } of shown) {
    const at = apply(toDisplay, worstPoint);
    const own = byId.get(id);
    const lengths = {
      normal: own === undefined ? { x: 1, y: 0 } : normalAt(own, at, job.cut),
      given: check!.clearance,
      word: job.cut.kind === 'as-drawn' ? ('allowed' as const) : ('given' as const),
      ...(neededClearance === undefined ? {} : { needed: neededClearance }),
    };
    const says =
      verdict === 'does-not-fit' ? 'Does not fit' : verdict === 'too-close' ? 'Too close' : 'Needs most';
    details.push({ at, width, label: `${says}: ${id}`, lengths });
  }
  if (thinLands[0]) details.push({ at: thinLands[0].at, width, land: 0, label: 'The thinnest land' });
  const corner = sharpestCorner(placed);
  if (corner && !isShown(corner.at))
    details.push({ at: corner.at, width, label: `The sharpest corner: ${corner.id}` });
  return details;
};

/** Chords of curves stray less than this, mm, where a normal is asked for. */
const flatness = 1e-3;
/** Sides of a polygon as near as this to the nearest belong to the same corner, mm. */
const sameCorner = 2e-3;

/**
 * The direction from the existing edge to the new one where the edge is nearest. At a corner: where
 * the new corner is pointed, square to one of its sides, for only there is the clearance what was
 * asked for; else the middle of both.
 */
const normalAt = ({ paths }: PictureShape, at: Point, { kind, corners }: Job['cut']): Point => {
  const way = kind === 'inlay' ? -1 : 1;
  const rings = paths.map((path) => polygonOfPath(path, flatness));
  const sides = rings.flatMap((ring) =>
    ring.flatMap((from, i) => {
      const to = ring[(i + 1) % ring.length]!;
      const along = { x: to.x - from.x, y: to.y - from.y };
      const size = length(along);
      if (size < noDirection) return [];
      const t = Math.min(1, Math.max(0, dot({ x: at.x - from.x, y: at.y - from.y }, along) / size ** 2));
      const foot = { x: from.x + t * along.x, y: from.y + t * along.y };
      return [{ away: distance(foot, at), foot, normal: { x: -along.y / size, y: along.x / size } }];
    }),
  );
  const nearest = sides.reduce((least, { away }) => Math.min(least, away), Number.POSITIVE_INFINITY);
  const normals = sides.flatMap(({ away, foot, normal }) => {
    if (away > nearest + sameCorner) return [];
    const probe = { x: foot.x + 4 * flatness * normal.x, y: foot.y + 4 * flatness * normal.y };
    const isIn = rings.filter((ring) => isInside(probe, ring)).length % 2 === 1;
    return [scale(normal, isIn ? -way : way)];
  });
  const [first = { x: 1, y: 0 }] = normals;
  if (corners === 'mitre' && normals.some((normal) => dot(normal, first) < sameSide)) return first;
  const sum = normals.reduce((a, b) => ({ x: a.x + b.x, y: a.y + b.y }), { x: 0, y: 0 });
  return length(sum) < noDirection ? { x: 1, y: 0 } : unit(sum);
};

/** Cosine of the largest turn between chords of one smooth side. */
const sameSide = Math.cos(Math.PI / 18);

/** Wide enough to see the clearance and what lies beside it. */
const detailWidth = ({ cut }: Job): number => Math.max(1, 16 * Math.max(cut.clearance, cut.kerf));

/** A turn of less than 60 degrees is no corner worth enlarging. */
const cornerTurn = Math.PI / 3;

const sharpestCorner = (shapes: readonly PictureShape[]): { at: Point; id: string } | undefined => {
  let sharpest: { at: Point; id: string } | undefined;
  let most = cornerTurn;
  for (const { id, paths } of shapes) {
    for (const path of paths) {
      for (const { at, turn } of turnsAt(path)) {
        if (turn <= most + 1e-9) continue;
        most = turn;
        sharpest = { at, id: id ?? '' };
      }
    }
  }
  return sharpest;
};

/** How sharply a path turns from each segment into the next, 0 to half a turn. */
const turnsAt = ({ segments, closed }: Path): { at: Point; turn: number }[] =>
  segments.flatMap((s, i) => {
    const before = segments[i === 0 ? segments.length - 1 : i - 1]!;
    if (i === 0 && !closed) return [];
    const [into, out] = [derivativeAt(before, 1), derivativeAt(s, 0)];
    if (length(into) < noDirection || length(out) < noDirection) return [];
    return [{ at: startOf(s), turn: Math.abs(Math.atan2(cross(into, out), dot(into, out))) }];
  });
