/**
 * Film that is narrower than the panel: how its strips lie on the panel, and where their seams run.
 *
 * Strips run along x or y of the drawing and turn with the panel. They are worked out on the bed, in a frame whose
 * first axis runs along the strips as they lie there, so that widths and overlaps are true millimetres whatever the
 * fit does to sizes. What is kept out of the seams is everything the beam burns away: its paths and half a kerf.
 */

import type { Shape } from '../../drawing/model/drawing.js';
import { apply, applyLinear, compose, invert, type Matrix, rotation } from '../../geometry/affine.js';
import { type Arc, fractionOfSweep, type Line, segmentBox, transformSegment } from '../../geometry/curve.js';
import { emptyBox, joinBoxes, type Point } from '../../geometry/point.js';
import { spanToCurve } from '../../geometry/spans/span.js';
import { limits } from '../../job/bounds.js';
import { type Film, type Job, whereInJob } from '../../job/job.js';
import { InputError, type Warning } from '../../job/messages.js';
import type { CutPath } from '../cut.js';
import { ringsOfShapes } from '../offset/regions.js';
import { type Obstacle, placeSeams, stripsNeeded } from './seams.js';

export interface FilmInput {
  readonly job: Pick<Job, 'path' | 'positions' | 'cut'> & { readonly film: Film };
  /** As drawn. */
  readonly outline: readonly Shape[];
  /** Design (before face) -> true bed mm, as the panel lies. */
  readonly toBed: Matrix;
  /** True bed mm -> display coordinates under the pointer, and those the beam is sent to. */
  readonly toPointer: Matrix;
  readonly toMachine: Matrix;
  /** What is cut, as the machine is told it. */
  readonly paths: readonly CutPath[];
}

/** Across the strips: design coordinates, from the lower to the higher. */
export interface Across {
  readonly from: number;
  readonly to: number;
  /** Where its corners lie under the pointer, display mm: along `from`, then back along `to`. */
  readonly corners: readonly [Point, Point, Point, Point];
}

export interface FilmStrip extends Across {
  /** Across, mm; what the film is wider hangs over the panel's edge or is trimmed off. */
  readonly width: number;
  /** Along, from end to end of the panel under it, mm. */
  readonly length: number;
}

/** Where two strips lie on each other. */
export interface FilmSeam extends Across {
  /** Openings it runs through. */
  readonly crosses: readonly string[];
  /** To the nearest opening or edge of the panel on either side, mm. */
  readonly distance: number;
}

export interface FilmPlan {
  readonly direction: 'x' | 'y';
  readonly width: number;
  readonly overlap: number;
  /** In the order of the drawing's coordinates. */
  readonly strips: readonly FilmStrip[];
  readonly seams: readonly FilmSeam[];
  /** Of all strips together, mm, with nothing to hold them by. */
  readonly length: number;
  readonly warnings: readonly Warning[];
}

const mostStrips = limits.filmStrips.most;

/**
 * The strips along the direction the job asks for; where it names none, along the one whose seams cross fewer openings,
 * then the one that takes less film.
 * @throws InputError without an outline, or for a film so narrow that it would take more than a hundred strips
 */
export const planFilm = (input: FilmInput): FilmPlan => {
  const { direction } = input.job.film;
  const along = stripsAlong(input, direction ?? 'x');
  const other = stripsAlong(input, direction === 'y' ? 'x' : 'y');
  const isBetter = crossings(other) - crossings(along) || other.length - along.length;
  const chosen = direction === undefined && isBetter < 0 ? other : along;
  return { ...chosen, warnings: warningsOf(chosen, chosen === along ? other : along) };
};

const crossings = ({ seams }: Pick<FilmPlan, 'seams'>): number =>
  seams.reduce((sum, seam) => sum + seam.crosses.length, 0);

type Laid = Omit<FilmPlan, 'warnings'>;

const stripsAlong = (input: FilmInput, direction: 'x' | 'y'): Laid => {
  const { job, toBed, toPointer } = input;
  const { width, overlap } = job.film;
  const frame = stripFrame(toBed, direction);
  const panel = ringsOfShapes(input.outline, compose(frame.fromBed, toBed), job.cut.tolerance).rings.flatMap(
    (r) => r.ring.spans().map(spanToCurve),
  );
  const box = panel.map(segmentBox).reduce(joinBoxes, emptyBox);
  if (box.minY > box.maxY) throw noOutline(job);
  const { minY: from, maxY: to } = box;
  const strips = stripsNeeded({ from, to, width, overlap });
  if (strips > mostStrips) throw tooNarrow(job, strips);

  const obstacles = burntAway(input, frame.fromBed);
  const seams = placeSeams({ from, to, width, overlap, obstacles });
  const toDisplay = compose(toPointer, frame.toBed);
  const across = (low: number, high: number, [start, end]: readonly [number, number]): Across => {
    const corner = (x: number, y: number): Point => apply(toDisplay, { x, y });
    return {
      from: frame.design(low),
      to: frame.design(high),
      corners: [corner(start, low), corner(end, low), corner(end, high), corner(start, high)],
    };
  };
  const laid = Array.from({ length: strips }, (_, i): FilmStrip => {
    const low = seams[i - 1]?.at ?? from;
    const high = seams[i] === undefined ? to : seams[i].at + overlap;
    const ends = extentBetween(panel, low, high);
    return { ...across(low, high, ends), width: high - low, length: ends[1] - ends[0] };
  });
  return {
    direction,
    width,
    overlap,
    strips: laid,
    seams: seams.map(({ at, crosses, distance }): FilmSeam => {
      const band = across(at, at + overlap, extentBetween(panel, at, at + overlap));
      return { ...band, crosses: [...new Set(crosses.flatMap((i) => obstacles[i]!.openings))], distance };
    }),
    length: laid.reduce((sum, strip) => sum + strip.length, 0),
  };
};

interface StripFrame {
  /** True bed mm -> x along the strips, y across them, both rising with the drawing's coordinates; and back. */
  readonly fromBed: Matrix;
  readonly toBed: Matrix;
  /** A place across the strips as the drawing counts it. */
  readonly design: (across: number) => number;
}

/**
 * A line of the drawing along the strips becomes a line of the bed along them, so that a place across the strips is
 * linear in the drawing's other coordinate: y = slope w + start.
 */
const stripFrame = (toBed: Matrix, direction: 'x' | 'y'): StripFrame => {
  const along = applyLinear(toBed, direction === 'x' ? { x: 1, y: 0 } : { x: 0, y: 1 });
  const other = direction === 'x' ? { x: 0, y: 1 } : { x: 1, y: 0 };
  const turned = rotation(-Math.atan2(along.y, along.x));
  const side = applyLinear(turned, applyLinear(toBed, other)).y < 0 ? -1 : 1;
  const fromBed = compose([1, 0, 0, side, 0, 0], turned);
  const back = invert(fromBed);
  const slope = applyLinear(fromBed, applyLinear(toBed, other)).y;
  if (back === undefined || !(slope > 0)) throw new RangeError('a placement that flattens the panel');
  const start = apply(fromBed, apply(toBed, { x: 0, y: 0 })).y;
  return { fromBed, toBed: back, design: (y) => (y - start) / slope };
};

/** Extent across the strips of everything each path burns away. */
const burntAway = (
  { paths, toMachine, job }: FilmInput,
  fromBed: Matrix,
): (Obstacle & { readonly openings: readonly string[] })[] => {
  const toTrue = invert(toMachine);
  if (toTrue === undefined) throw new RangeError('a bed map that flattens the bed');
  const toFrame = compose(fromBed, toTrue);
  return paths
    .filter((path) => !path.hole)
    .map(({ segments, openings }) => {
      const box = segments.map((s) => segmentBox(transformSegment(toFrame, s))).reduce(joinBoxes, emptyBox);
      return { low: box.minY - job.cut.kerf / 2, high: box.maxY + job.cut.kerf / 2, openings };
    });
};

/**
 * How far the panel reaches along the strips between two lines across them. The farthest point lies at a turning point
 * of an edge, at its end, or where it crosses one of the lines.
 */
const extentBetween = (
  edges: readonly (Line | Arc)[],
  low: number,
  high: number,
): readonly [number, number] => {
  let start = Number.POSITIVE_INFINITY;
  let end = Number.NEGATIVE_INFINITY;
  const take = (p: Point): void => {
    if (p.y < low - 1e-9 || p.y > high + 1e-9) return;
    start = Math.min(start, p.x);
    end = Math.max(end, p.x);
  };
  for (const edge of edges)
    for (const p of edge.kind === 'line' ? onLine(edge, low, high) : onArc(edge, low, high)) take(p);
  return [start, end];
};

const onLine = ({ from, to }: Line, low: number, high: number): Point[] => {
  const points = [from, to];
  for (const y of [low, high]) {
    if ((from.y - y) * (to.y - y) < 0) {
      points.push({ x: from.x + ((y - from.y) / (to.y - from.y)) * (to.x - from.x), y });
    }
  }
  return points;
};

const onArc = ({ centre, radius, start, sweep }: Arc, low: number, high: number): Point[] => {
  const angles = [start, start + sweep];
  const crossing = [low, high].flatMap((y) => {
    const sine = (y - centre.y) / radius;
    return Math.abs(sine) > 1 ? [] : [Math.asin(sine), Math.PI - Math.asin(sine)];
  });
  for (const angle of [0, Math.PI, ...crossing])
    if (fractionOfSweep(start, sweep, angle) <= 1) angles.push(angle);
  return angles.map((t) => ({ x: centre.x + radius * Math.cos(t), y: centre.y + radius * Math.sin(t) }));
};

const warningsOf = (plan: Laid, other: Laid): Warning[] => {
  const crossing = plan.seams.filter((seam) => seam.crosses.length > 0);
  if (crossing.length === 0) return [];
  const names = [...new Set(crossing.flatMap((seam) => seam.crosses))];
  const shown = names.slice(0, 5).join(', ');
  const rest = names.length > 5 ? ` and ${names.length - 5} more` : '';
  const better = crossings(other) < crossings(plan);
  const instead = better
    ? `With "direction: ${other.direction}" ${crossings(other) === 0 ? 'none does' : `only ${crossings(other)} would be crossed`}.`
    : 'A wider film, or a smaller overlap, leaves more choice.';
  const count = plan.seams.length;
  const through = `${crossing.length} of ${count} ${count === 1 ? 'seam' : 'seams'} of the film ${crossing.length === 1 ? 'runs' : 'run'}`;
  return [
    {
      code: 'seam-crosses-opening',
      message: `${through} through openings, which no place within reach avoids: ${shown}${rest}. ${instead}`,
    },
  ];
};

const noOutline = (job: FilmInput['job']): InputError =>
  new InputError({
    found: 'film for a drawing without a closed outline',
    expected: 'the outline of the panel, which the strips have to cover',
    where: whereInJob(job, 'film'),
    next: 'Name the layer or id of the outline under "roles:"; "reseat list" shows what the drawing holds.',
  });

const tooNarrow = (job: FilmInput['job'], strips: number): InputError =>
  new InputError({
    found: `film.width of ${job.film.width} mm, which takes ${strips} strips`,
    expected: `at most ${mostStrips} strips`,
    where: whereInJob(job, 'film.width'),
    next: 'Correct the width; it is the width of the roll in mm.',
  });
