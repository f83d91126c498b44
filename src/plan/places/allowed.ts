/** The places a job allows: a layer or shape of its drawing. */

import { meetingPoint, roundCentre } from '../../drawing/mark-sites/centre.js';
import type { Drawing, Shape } from '../../drawing/model/drawing.js';
import { shapeBox } from '../../drawing/model/shape-store.js';
import { knownNames } from '../../drawing/roles/drawn-names.js';
import { boxDiagonal, type Point } from '../../geometry/point.js';
import { InputError, type Where } from '../../job/messages.js';
import { nearestWord } from '../../job/nearest.js';
import type { Place } from './place.js';

/** A circle up to this radius, mm, stands for its centre; a larger one for the area inside. */
const spotRadius = 5;

export interface Allowed {
  /** Centres of small circles and of crosses: places as they are. */
  readonly spots: readonly Place[];
  /** Closed shapes to stay in. */
  readonly areas: readonly Shape[];
}

/** @throws InputError for a name that the drawing does not have, or that holds nothing of use */
export const allowedPlaces = (drawing: Drawing, name: string, where: Where): Allowed => {
  const shapes = drawing.shapes.filter(
    (shape) => shape.id === name || shape.layers.includes(name) || shape.labels?.includes(name),
  );
  if (shapes.length === 0) {
    const known = knownNames(drawing.shapes);
    const nearest = nearestWord(name, known);
    throw new InputError({
      found: `plan: allowed: ${name}, which is neither a shape nor a layer of the drawing`,
      expected: known.length === 0 ? 'a drawing with named shapes or layers' : 'the name of one',
      where,
      next:
        nearest === undefined
          ? '"reseat list" shows every shape with its layer.'
          : `Did you mean ${nearest}?`,
    });
  }
  const spots: Place[] = [];
  const areas: Shape[] = [];
  for (const shape of shapes) {
    const at = spotOf(shape);
    if (at !== undefined) spots.push({ kind: 'given', at, shape: shape.id });
    else if (shape.paths.some((path) => path.closed)) areas.push(shape);
  }
  if (spots.length + areas.length > 0) return { spots, areas };
  throw new InputError({
    found: `plan: allowed: ${name}, which holds open lines only`,
    expected: 'small circles or crosses for single places, closed shapes for areas',
    where,
    next: 'Draw the places as circles, or the areas as closed shapes.',
  });
};

const spotOf = (shape: Shape): Point | undefined => {
  const round = roundCentre(shape);
  if (round !== undefined)
    return boxDiagonal(shapeBox(shape)) / 2 <= spotRadius * Math.SQRT2 + 1e-9 ? round : undefined;
  const crossing = meetingPoint(shape.paths);
  return shape.paths.some((path) => path.closed) ? undefined : crossing;
};
