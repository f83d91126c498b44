/** Places to drive the pointer to before cutting: where it has to land, and how far off is still explained. */
import type { Shape } from '../../drawing/model/drawing.js';
import type { Fit } from '../../fit/fit.js';
import { positionCovariance } from '../../fit/solve/position.js';
import { apply, type Matrix } from '../../geometry/affine.js';
import { derivativeAt, endOf, type Path, startOf } from '../../geometry/curve.js';
import { distance, length, type Point } from '../../geometry/point.js';
import { decreasingRoot } from '../../numeric/decreasing-root.js';
import { turnBetween } from '../edges/edge-samples.js';
import type { Unseen, UnseenCause } from './unseen.js';

export interface WitnessPoint {
  readonly opening: string;
  /** The tip of a corner, the centre of a small hole, or the end of an open line that is cut as drawn. */
  readonly kind: 'corner' | 'hole' | 'end';
  /** In the drawing, before `face`, mm. */
  readonly design: Point;
  /** Where the pointer has to stand over it, true bed mm. */
  readonly at: Point;
  /** In 95 of 100 sound jobs the pointer stands no farther from it than this, mm; undefined without a known sd. */
  readonly allowedMiss?: number;
  /** What it shows of the panel that the readings do not: of the first, where that is more than its allowed miss. */
  readonly shows?: UnseenCause;
}

/** A corner turns at least this much; blunter ones are hard to aim at. */
const pointed = (40 * Math.PI) / 180;
/** A hole up to this radius, mm, can be centred by eye. */
const smallHole = 4;
/** Two places nearer to each other are one to the pointer, mm. */
const samePlace = 0.5;
const fewest = 3;
const most = 5;

interface Candidate {
  readonly opening: string;
  readonly kind: WitnessPoint['kind'];
  readonly design: Point;
  /** 1 for a right angle or sharper, less for blunt corners. */
  readonly quality: number;
}

/**
 * Three to five points. The first is the one where a bow of the panel or a change of its size that is common practice would
 * show most after the fit: marks at the corners see nothing of a bow. Each next is the one farthest from those chosen and
 * from the marks (without `unseen` the first is the one farthest from the marks' centre): a wrong turn shows most at the ends, a wrong shift everywhere. Stops at three once the next would
 * stand nearer to a chosen one than a fifth of the part. Fewer where the openings have no point to aim at.
 */
export const witnessPoints = (
  fit: Fit,
  openings: readonly Shape[],
  face: Matrix,
  readingVariance?: number,
  withOpen = false,
  unseen?: (placed: Point) => Unseen,
): WitnessPoint[] => {
  const marks = [...fit.marks, ...(fit.touches ?? [])].map((m) => apply(face, m.design));
  // Where the pointer has been already it need not go again.
  const isRead = ({ design }: Candidate): boolean => marks.some((mark) => distance(mark, design) < samePlace);
  const candidates = openings
    .flatMap((shape) => aimsOf(shape, withOpen))
    .filter((candidate) => !isRead(candidate));
  const chosen: Candidate[] = [];
  const telling =
    unseen === undefined
      ? undefined
      : mostTelling(candidates, (c) => unseen(apply(fit.matrix, apply(face, c.design))));
  if (telling !== undefined) chosen.push(telling.candidate);
  const reach = Math.max(0, ...candidates.map((c) => distance(c.design, candidates[0]!.design)));
  while (chosen.length < most) {
    let best: Candidate | undefined;
    let bestScore = 0;
    for (const c of candidates) {
      const nearest = Math.min(
        ...chosen.map((other) => distance(c.design, other.design)),
        chosen.length === 0 ? distance(c.design, apply(face, fit.centre)) : Number.POSITIVE_INFINITY,
      );
      // A mark nearby makes a point less of a proof, but does not rule it out.
      const fromMarks = Math.min(...marks.map((m) => distance(c.design, m)));
      const score = c.quality * (nearest + 0.25 * Math.min(fromMarks, nearest));
      if (score > bestScore) {
        best = c;
        bestScore = score;
      }
    }
    if (best === undefined) break;
    if (
      chosen.length >= fewest &&
      Math.min(...chosen.map((o) => distance(o.design, best.design))) < reach / 5
    )
      break;
    chosen.push(best);
  }
  return chosen.map(({ opening, kind, design }, i) => {
    const placed = apply(face, design);
    const allowed = readingVariance === undefined ? undefined : allowedMiss(fit, placed, readingVariance);
    return {
      opening,
      kind,
      design,
      at: apply(fit.matrix, placed),
      ...(allowed === undefined ? {} : { allowedMiss: allowed }),
      ...(i === 0 && telling !== undefined && telling.size > (allowed ?? 0) ? { shows: telling.cause } : {}),
    };
  });
};

/** Undefined where the readings leave nothing of either cause unseen at any place that can be aimed at. */
const mostTelling = (
  candidates: readonly Candidate[],
  unseenAt: (candidate: Candidate) => Unseen,
): (Unseen & { candidate: Candidate }) | undefined => {
  let best: (Unseen & { candidate: Candidate }) | undefined;
  let most = 0;
  for (const candidate of candidates) {
    const { cause, size } = unseenAt(candidate);
    if (candidate.quality * size > most) {
      most = candidate.quality * size;
      best = { candidate, cause, size };
    }
  }
  return best;
};

/** Corners and small round holes of one opening, as drawn; of open lines their corners and ends. */
const aimsOf = (shape: Shape, withOpen: boolean): Candidate[] =>
  shape.paths
    .filter((path) => path.closed || withOpen)
    .flatMap((path) => [
      ...cornersOf(shape.id, path),
      ...(path.closed ? holeOf(shape.id, path) : endsOf(shape.id, path)),
    ]);

const endsOf = (opening: string, { segments }: Path): Candidate[] => {
  const [first] = segments;
  const last = segments.at(-1);
  if (first === undefined || last === undefined) return [];
  return [startOf(first), endOf(last)].map((design) => ({ opening, kind: 'end', design, quality: 0.8 }));
};

const cornersOf = (opening: string, path: Path): Candidate[] => {
  const segments = path.segments.filter((s) => distance(startOf(s), endOf(s)) > 0 || s.kind !== 'line');
  return segments.flatMap((s, i): Candidate[] => {
    if (!path.closed && i === segments.length - 1) return [];
    const next = segments[(i + 1) % segments.length]!;
    const out = derivativeAt(s, 1);
    const into = derivativeAt(next, 0);
    if (length(out) === 0 || length(into) === 0) return [];
    const turn = Math.abs(turnBetween(out, into));
    if (turn < pointed) return [];
    return [{ opening, kind: 'corner', design: endOf(s), quality: Math.min(1, turn / (Math.PI / 2)) }];
  });
};

const holeOf = (opening: string, path: Path): Candidate[] => {
  const [first] = path.segments;
  if (first?.kind !== 'arc' || first.radius > smallHole) return [];
  const round = path.segments.every(
    (s) =>
      s.kind === 'arc' && distance(s.centre, first.centre) < 1e-6 && Math.abs(s.radius - first.radius) < 1e-6,
  );
  return round ? [{ opening, kind: 'hole', design: first.centre, quality: 0.8 }] : [];
};

/**
 * The radius exceeded with probability 0.05 by pointer minus fitted position: the fit's covariance there plus that
 * of one reading, a two-dimensional normal or Student-t. Along the direction v of a whitened circle the tail is
 * exp(-r^2 / 2), or (1 + r^2 / nu)^(-nu / 2), so the probability is a mean over directions.
 */
const allowedMiss = (fit: Fit, placed: Point, readingVariance: number): number | undefined => {
  const covariance = positionCovariance(fit, placed);
  if (covariance === undefined) return undefined;
  const xx = covariance.xx + readingVariance;
  const yy = covariance.yy + readingVariance;
  const { xy } = covariance;
  const middle = (xx + yy) / 2;
  const half = Math.sqrt(((xx - yy) / 2) ** 2 + xy * xy);
  const long = middle + half;
  const short = Math.max(0, middle - half);
  const degrees = fit.sd.usedDof;
  const directions = 64;
  const beyond = (radius: number): number => {
    let sum = 0;
    for (let i = 0; i < directions; i++) {
      const angle = ((i + 0.5) * Math.PI) / (2 * directions);
      const variance = long * Math.cos(angle) ** 2 + short * Math.sin(angle) ** 2;
      const squares = (radius * radius) / variance;
      sum +=
        degrees === undefined
          ? Math.exp(-squares / 2)
          : Math.exp((-degrees / 2) * Math.log1p(squares / degrees));
    }
    return sum / directions;
  };
  return long === 0 ? 0 : decreasingRoot(beyond, 0.05, 2.5 * Math.sqrt(long), 0.2 * Math.sqrt(long));
};
