/** The touches of a job, in the frames of the fit. */
import type { Drawing, Shape } from '../drawing/model/drawing.js';
import { knownNames } from '../drawing/roles/drawn-names.js';
import type { RoleAssignment } from '../drawing/roles/roles.js';
import { apply } from '../geometry/affine.js';
import { pathLength } from '../geometry/measure.js';
import type { Point } from '../geometry/point.js';
import { type Job, type Roles, whereInJob } from '../job/job.js';
import { InputError } from '../job/messages.js';
import { nearestWord } from '../job/nearest.js';
import { quoted } from '../job/quoted.js';
import { displayToTrue, faceMatrix } from './frames.js';
import { asArrived, type UnknownSide, unknownSideOf } from './sides.js';
import { roundRim, type TouchEdge, touchEdge } from './touch-edge.js';

/** One touch with all its readings: an observation of the fit. */
export interface TouchReadings {
  /** `touch 3 on outline`: its place in the job file and what it is on. */
  readonly touch: string;
  /** Touches on the same edge share it. */
  readonly edge: TouchEdge;
  /** Single readings in true bed mm; one or more, all at about the same place. */
  readonly readings: readonly Point[];
  /** About where it was, design after `face`, mm. */
  readonly start?: Point;
  /** As of a mark. */
  readonly side?: UnknownSide;
}

/**
 * The touches of a job, in the order of the file.
 * @throws InputError for a name that is no edge, and for a radius of what is not round
 */
export const touchesOf = (
  job: Job,
  drawing: Pick<Drawing, 'path'>,
  roles: RoleAssignment,
  marks: ReadonlyMap<string, Point>,
): TouchReadings[] => {
  const toTrue = displayToTrue(job.machine);
  const face = faceMatrix(job.face);
  const edges = new Map<string, TouchEdge>();
  return (job.touches ?? []).map(({ on, at, start, directions }, i): TouchReadings => {
    const side = unknownSideOf(job, directions);
    const key = keyOf(on, roles);
    const edge = edges.get(key) ?? edgeNamed(job, i, drawing, roles, marks);
    edges.set(key, edge);
    return {
      touch: `touch ${i + 1} on ${on}`,
      edge,
      readings: at.map((p, k) => toTrue(asArrived(p, directions?.[k], job.machine))),
      ...(start === undefined ? {} : { start: apply(face, start) }),
      ...(side === undefined ? {} : { side }),
    };
  });
};

/** Of a screen with thousands of openings as many as this will do. */
const mostTouchable = 150;

/** Edges of the part that another touch could be on, made when they are asked for. */
export const touchableEdges = (job: Job, roles: RoleAssignment): TouchEdge[] => {
  const every = Math.ceil(roles.openings.length / mostTouchable);
  const some = roles.openings.filter((_, i) => i % every === 0);
  const named = [['outline', roles.outline] as const, ...some.map((shape) => [shape.id, [shape]] as const)];
  // Only where they lie counts here, not on which side the material is.
  return named
    .map(([name, shapes]) => touchEdge({ ...settingOf(job, roles, name, shapes), alike: shapes }))
    .filter((edge) => edge !== undefined);
};

const edgeNamed = (
  job: Job,
  index: number,
  drawing: Pick<Drawing, 'path'>,
  roles: RoleAssignment,
  marks: ReadonlyMap<string, Point>,
): TouchEdge => {
  const { on } = job.touches![index]!;
  const where = (key: string) => whereInJob(job, `touches[${index + 1}].${key}`);
  const shapes = shapesNamed(on, roles);
  if (shapes.length === 0) throw unknownEdge(on, where('on'), roles, marks);
  const isOutline = shapes.every((shape) => roles.roles.get(shape.id) === 'outline');
  if (shapes.length > 1 && !isOutline) {
    const some = shapes.slice(0, 4).map(({ id }) => quoted(id));
    throw new InputError({
      found: `a touch on ${quoted(on)}, which holds ${shapes.length} shapes`,
      expected: 'one shape, or the outline',
      where: where('on'),
      next: `Name the shape that was touched: ${some.join(', ')}${shapes.length > 4 ? ' ...' : ''}.`,
    });
  }
  const radius = radiusOf(job, on, roles);
  if (radius !== undefined && roundRim(shapes) === undefined) {
    throw new InputError({
      found: `a radius for ${quoted(on)}, which is not one whole circle in ${drawing.path}`,
      expected: 'a radius for round rims only',
      where: where('radius'),
      next: 'Remove the radius: the drawn curve itself is taken.',
    });
  }
  const edge = touchEdge(settingOf(job, roles, on, shapes), radius);
  if (edge !== undefined) return edge;
  if (shapes.some((shape) => shape.paths.some((path) => pathLength(path) > 0))) {
    throw new InputError({
      found: `a touch on ${quoted(on)}, all of which lies within other openings`,
      expected: 'an edge that exists: where openings cross, that of all of them together',
      where: where('on'),
      next: 'Name the opening whose edge was touched.',
    });
  }
  throw new InputError({
    found: `a touch on ${quoted(on)}, which is a point`,
    expected: 'a shape with an edge',
    where: where('on'),
    next: 'Give the reading under "readings:" instead, as that of a mark.',
  });
};

/** Whether the edge of that name is one whole circle, whose radius can be unknown. */
export const isRoundEdge = (name: string, roles: RoleAssignment): boolean =>
  roundRim(shapesNamed(name, roles)) !== undefined;

/** The shape of that id, else that label; else the outline; else those of a layer. */
const shapesNamed = (name: string, { shapes, outline, selectors }: RoleAssignment): readonly Shape[] => {
  const own =
    shapes.find(({ id }) => id === name) ?? shapes.find(({ labels }) => labels?.includes(name) === true);
  if (own !== undefined) return [own];
  if (isOutline(name, selectors)) return outline;
  return shapes.filter(({ layers }) => layers.includes(name));
};

const isOutline = (name: string, { outline }: Roles): boolean =>
  name === 'outline' || outline.some(({ text }) => text === name);

/** The same for two names of the same shapes. */
const keyOf = (name: string, roles: RoleAssignment): string =>
  JSON.stringify(shapesNamed(name, roles).map(({ id }) => id));

const settingOf = (job: Job, roles: RoleAssignment, name: string, shapes: readonly Shape[]) => {
  const role = roles.roles.get(shapes[0]?.id ?? '');
  const alike = role === 'outline' ? roles.outline : role === 'opening' ? roles.openings : shapes;
  // What was not compensated took half a kerf off the material on its side of the drawn line,
  // within and without.
  const cut = role === 'outline' || role === 'opening';
  const setBack = cut && !job.pierced.compensated ? job.pierced.kerf / 2 : 0;
  return { name, shapes, alike, hole: role !== 'outline', setBack, face: faceMatrix(job.face) };
};

/**
 * What the job says of a rim's radius; it may say so once for all touches on it, but not two
 * things.
 */
const radiusOf = (job: Job, on: string, roles: RoleAssignment): number | 'unknown' | undefined => {
  const key = keyOf(on, roles);
  let said: { radius: number | 'unknown'; touch: number } | undefined;
  for (const [i, touch] of job.touches!.entries()) {
    if (touch.radius === undefined || keyOf(touch.on, roles) !== key) continue;
    if (said !== undefined && said.radius !== touch.radius) {
      throw new InputError({
        found: `the radius ${touch.radius} for ${quoted(on)}, although touch ${said.touch} says ${said.radius}`,
        expected: 'one radius for a rim',
        where: whereInJob(job, `touches[${i + 1}].radius`),
        next: 'State it once; it holds for every touch on that rim.',
      });
    }
    said = { radius: touch.radius, touch: i + 1 };
  }
  return said?.radius;
};

const unknownEdge = (
  name: string,
  where: InputError['where'],
  roles: RoleAssignment,
  marks: ReadonlyMap<string, Point>,
): InputError => {
  if (isOutline(name, roles.selectors)) {
    return new InputError({
      found: 'a touch on the outline, and no outline in the drawing',
      expected: 'a shape in the role of the outline',
      where,
      next: 'Name it under "roles:" as "outline", or touch another shape.',
    });
  }
  if (marks.has(name)) {
    return new InputError({
      found: `a touch on ${quoted(name)}, a mark that is a point and has no edge`,
      expected: 'outline, or the name of a drawn shape',
      where,
      next: `Give the reading under "readings:" as ${quoted(name)}.`,
    });
  }
  const known = ['outline', ...knownNames(roles.shapes), ...roles.shapes.map(({ id }) => id)];
  const nearest = nearestWord(name, known);
  return new InputError({
    found: `a touch on ${quoted(name)}, which is neither a shape nor a layer of the drawing`,
    expected: 'outline, or the name of a drawn shape',
    where,
    next:
      nearest === undefined
        ? 'Write "outline" for the edge of the panel; "reseat list" shows the names of all shapes.'
        : `Did you mean ${quoted(nearest)}?`,
  });
};
