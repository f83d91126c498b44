/** Panels to plan marks on, and patterns judged one by one. */
import type { Shape } from '../../src/drawing/model/drawing.js';
import { assignRoles } from '../../src/drawing/roles/roles.js';
import { identity, type Matrix } from '../../src/geometry/affine.js';
import { pathBox, transformPath } from '../../src/geometry/curve.js';
import { emptyBox, joinBoxes, type Point } from '../../src/geometry/point.js';
import type { Job } from '../../src/job/job.js';
import { readJob } from '../../src/job/read/read-job.js';
import type { RandomSource } from '../../src/numeric/random.js';
import { judgedEdges } from '../../src/plan/judge/judged-edges.js';
import { plannedFit } from '../../src/plan/judge/planned-fit.js';
import type { Place } from '../../src/plan/places/place.js';
import type { PlanInput } from '../../src/plan/plan-input.js';
import { errorField } from '../../src/verdict/risk/error-field.js';
import { assessRisk } from '../../src/verdict/risk/risk.js';
import { circle, polygon, rectangle, starPoints } from '../verdict/shapes.js';

export interface Panel {
  readonly openings: readonly Shape[];
  readonly outline?: readonly Shape[];
  /** Places that `plan: {allowed: spots}` allows. */
  readonly spots?: readonly Point[];
  /** Lines of YAML beside the drawing. */
  readonly job?: string;
  readonly present?: ReadonlyMap<string, Point>;
  /** Moves the whole drawing. */
  readonly moved?: Matrix;
}

export const panelBox = { minX: 0, minY: 0, maxX: 600, maxY: 400 };

export const board = (width = 600, height = 400): Shape => rectangle('board', 0, 0, width, height);

export const usualJob = 'fit: {reading-sd: 0.1}';

export const inLayer = (shape: Shape, layer: string): Shape => ({ ...shape, layers: [layer] });

export const planInput = (panel: Panel): PlanInput => {
  const { openings, outline = [board()], spots = [], moved = identity } = panel;
  const shapes = [
    ...openings.map((shape) => inLayer(shape, 'openings')),
    ...outline.map((shape) => inLayer(shape, 'outline')),
    ...spots.map((at, i) => inLayer(circle(`spot-${i + 1}`, at, 1), 'spots')),
  ].map((shape) => ({ ...shape, paths: shape.paths.map((path) => transformPath(moved, path)) }));
  const box = shapes.flatMap((shape) => shape.paths.map(pathBox)).reduce(joinBoxes, emptyBox);
  const drawing = { path: 'panel.svg', units: 'mm', box, shapes, leftOut: [], warnings: [] };
  const text = `drawing: panel.svg\n${panel.job ?? usualJob}\n`;
  const job = readJob({ path: 'job.yaml', text }, { read: () => undefined }, { withoutReadings: true });
  const roles = assignRoles(drawing, job.roles);
  return { job, drawing, roles, edges: roles.openings, present: panel.present ?? new Map() };
};

/** Round, square, starred openings anywhere on the board. */
export const randomOpenings = (random: RandomSource, count: number, width = 600, height = 400): Shape[] =>
  Array.from({ length: count }, (_, i) => {
    const size = 6 + 24 * random.uniform();
    const centre = {
      x: 50 + (width - 100) * random.uniform(),
      y: 50 + (height - 100) * random.uniform(),
    };
    const id = `opening-${i + 1}`;
    if (i % 3 === 0) return circle(id, centre, size);
    if (i % 3 === 1) return rectangle(id, centre.x - size, centre.y - size / 2, 2 * size, size);
    return polygon(id, starPoints(centre, size, size / 2, 5, random.uniform()));
  });

/** Needed clearance of the worst opening by the verdict, mm: infinity where the pattern does not determine the fit. */
export const neededWith = (
  job: Job,
  openings: readonly Shape[],
  pattern: readonly Place[],
  draws = 1024,
): number => {
  const { model, readingSd, readingSdDof, markSd } = job.fit;
  const fit = plannedFit(model, pattern, {
    readingSd: readingSd!,
    ...(readingSdDof === undefined ? {} : { readingSdDof }),
    stated: true,
    markSd,
  });
  const field = fit && errorField(fit, job.check);
  if (field === undefined) return Number.POSITIVE_INFINITY;
  const { edges } = judgedEdges(job, openings, panelBox);
  const { acceptedRisk } = job.check;
  const risk = assessRisk({ edges, field, clearance: job.cut.clearance, acceptedRisk, draws });
  return Math.max(...risk.openings.map((opening) => opening.neededClearance));
};

export const combinations = <T>(items: readonly T[], count: number): T[][] =>
  count === 0
    ? [[]]
    : items.flatMap((item, i) => combinations(items.slice(i + 1), count - 1).map((rest) => [item, ...rest]));
