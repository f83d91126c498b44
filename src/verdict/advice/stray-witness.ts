/** Witness points that are none. */
import type { Shape } from '../../drawing/model/drawing.js';
import { identity } from '../../geometry/affine.js';
import { distance, type Point, subtract } from '../../geometry/point.js';
import { type Job, whereInJob } from '../../job/job.js';
import { InputError, type Where } from '../../job/messages.js';
import { type EdgeChain, fieldsOfChain, samplePath } from '../edges/edge-samples.js';

/** How far a witness point may lie from the drawn line, mm. */
const nearEnough = 0.5;

/** The witness points that a job gives by position; those given by name are of the drawing anyway. */
export const typedWitness = (job: Job): TypedPoint[] =>
  (job.witness ?? []).flatMap(({ point }, i) =>
    'at' in point ? [{ design: point.at, where: whereInJob(job, `witness[${i + 1}].point`) }] : [],
  );

export interface TypedPoint {
  /** In the drawing, before `face`, mm. */
  readonly design: Point;
  readonly where: Where;
}

/**
 * Refuses a witness point that is none: not within 0.5 mm of an edge of the drawing nor of a mark. The pointer cannot
 * be driven to a place that nothing shows.
 *
 * @throws InputError for the first such point
 */
export const refuseStrayWitness = (
  points: readonly TypedPoint[],
  shapes: readonly Shape[],
  marks: readonly Point[],
): void => {
  if (points.length === 0) return;
  const chains = shapes.flatMap((shape) =>
    shape.paths.map((path) => ({
      id: shape.id,
      points: pointsOf(samplePath(path, identity, { turn: Math.PI / 90, arm: Number.POSITIVE_INFINITY })),
    })),
  );
  for (const { design, where } of points) {
    if (marks.some((m) => distance(m, design) <= nearEnough)) continue;
    let nearest = Number.POSITIVE_INFINITY;
    let id: string | undefined;
    for (const chain of chains) {
      for (let i = 1; i < chain.points.length; i++) {
        const away = distanceToLine(design, chain.points[i - 1]!, chain.points[i]!);
        if (away < nearest) {
          nearest = away;
          id = chain.id;
        }
      }
    }
    if (nearest <= nearEnough) continue;
    const place = `[${design.x}, ${design.y}]`;
    throw new InputError({
      found:
        id === undefined
          ? `the witness point ${place} in a drawing without edges`
          : `the witness point ${place}, ${nearest.toFixed(2)} mm from the nearest edge of the drawing (${id})`,
      expected: `a point within ${nearEnough} mm of a drawn edge, corner or mark`,
      where,
      next: 'Type the design position of a corner that the pointer can be driven to; "reseat check" names some.',
    });
  }
};

const pointsOf = (chain: EdgeChain): Point[] =>
  Array.from({ length: chain.length / fieldsOfChain }, (_, i) => ({
    x: chain[fieldsOfChain * i]!,
    y: chain[fieldsOfChain * i + 1]!,
  }));

const distanceToLine = (p: Point, a: Point, b: Point): number => {
  const along = subtract(b, a);
  const squares = along.x * along.x + along.y * along.y;
  const share = squares === 0 ? 0 : ((p.x - a.x) * along.x + (p.y - a.y) * along.y) / squares;
  const t = Math.min(1, Math.max(0, share));
  return distance(p, { x: a.x + t * along.x, y: a.y + t * along.y });
};
