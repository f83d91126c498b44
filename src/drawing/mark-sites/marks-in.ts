/** The marks drawn in a drawing, each with its names and its position. */

import { boxCentre, boxesMeet, distance, emptyBox, joinBoxes, type Point } from '../../geometry/point.js';
import { InputError } from '../../job/messages.js';
import type { Drawing, Group, Shape } from '../model/drawing.js';
import { shapeBox } from '../model/shape-store.js';
import type { RoleAssignment } from '../roles/roles.js';
import { centreTolerance, markCentre, meetingPoint, roundCentre } from './centre.js';
import { type FoundMark, type MarkGroup, unitedMarks } from './united-marks.js';

export interface DrawnMark {
  /** Unique among the marks. */
  readonly name: string;
  /** Other names that mean this mark and no other: labels, and the id of its only shape. */
  readonly otherNames: readonly string[];
  /** Design frame, mm. */
  readonly centre: Point;
  readonly shapes: readonly Shape[];
}

/**
 * Each mark of the drawing. Shapes in the same named group below the marks layer are one mark,
 * named by the innermost such group; any other shape is a mark of its own, named by its id. A group
 * whose parts have centres of their own that lie clear of each other is not one mark: its shapes
 * are marks of their own. Two lines that meet each other and no third one are one mark (a cross as
 * DXF has it), and so are shapes about the same centre, under the name of the first.
 * @throws InputError when the parts of a mark have centres more than 0.01 mm apart
 */
export const marksIn = (drawing: Drawing, assignment: RoleAssignment): DrawnMark[] => {
  const found = groupsOf(assignment).flatMap(({ names, shapes }): FoundMark[] => {
    const centre = centreOfParts(drawing, names[0] ?? '', shapes);
    if (centre === undefined) {
      return shapes.map((shape) => ({ names: namesOf(shape), centre: markCentre(shape), shapes: [shape] }));
    }
    return [{ names, centre, shapes }];
  });
  return withUniqueNames(unitedMarks(found));
};

/** How many marks there are; parts whose centres disagree count as one, which `marksIn` refuses. */
export const countMarks = (assignment: RoleAssignment): number => unitedMarks(foundIn(assignment)).length;

/**
 * The same with names and places, to be shown; a mark whose parts disagree is at the centre of the
 * first.
 */
export const marksSeen = (assignment: RoleAssignment): DrawnMark[] =>
  withUniqueNames(unitedMarks(foundIn(assignment)));

const foundIn = (assignment: RoleAssignment): FoundMark[] =>
  groupsOf(assignment).flatMap(({ names, shapes }): FoundMark[] => {
    const centre = findCentre(shapes);
    if (centre === 'several') {
      return shapes.map((shape) => ({ names: namesOf(shape), centre: markCentre(shape), shapes: [shape] }));
    }
    return [{ names, centre: 'apart' in centre ? centre.apart[0] : centre, shapes }];
  });

const groupsOf = (assignment: RoleAssignment): MarkGroup[] => {
  const groups = new Map<Group | Shape, Shape[]>();
  for (const shape of assignment.marks) {
    const key = markGroup(shape, assignment.markNames) ?? shape;
    const members = groups.get(key);
    if (members === undefined) groups.set(key, [shape]);
    else members.push(shape);
  }
  return [...groups].map(([key, shapes]) => {
    const own = shapes.length === 1 ? namesOf(shapes[0]!) : [];
    return { names: [...new Set([...('names' in key ? key.names : []), ...own])], shapes };
  });
};

/**
 * The centre of any drawn shape, by its id or label, or of a named group that is one mark;
 * undefined: no such name.
 */
export const centreNamed = (drawing: Drawing, name: string): Point | undefined => {
  const shape =
    drawing.shapes.find(({ id }) => id === name) ??
    drawing.shapes.find(({ labels }) => labels?.includes(name));
  if (shape !== undefined) return markCentre(shape);
  const members = drawing.shapes.filter(({ layers }) => layers.includes(name));
  return members.length === 0 ? undefined : centreOfParts(drawing, name, members);
};

/** The innermost named group around a shape, if it lies below a marks layer. */
const markGroup = (shape: Shape, layers: ReadonlySet<string>): Group | undefined => {
  let innermost: Group | undefined;
  for (let group = shape.group; group !== undefined; group = group.parent) {
    if (group.names.some((name) => layers.has(name))) return innermost;
    if (group.names.length > 0) innermost ??= group;
  }
  return undefined;
};

/**
 * Undefined when the shapes are no single mark: several of them have centres of their own, clear of
 * each other.
 */
const centreOfParts = (drawing: Drawing, name: string, shapes: readonly Shape[]): Point | undefined => {
  const centre = findCentre(shapes);
  if (centre === 'several') return undefined;
  if (!('apart' in centre)) return centre;
  const [one, other] = centre.apart;
  const figure = (p: Point): string => `(${p.x.toFixed(3)}, ${p.y.toFixed(3)})`;
  throw new InputError({
    found: `a mark ${name} whose parts have their centres at ${figure(one)} and ${figure(other)} mm`,
    expected: `centres within ${centreTolerance} mm of each other`,
    where: { file: drawing.path, ...(shapes[0]!.line ? { line: shapes[0]!.line } : {}), element: name },
    next: 'Centre the parts on each other, or put each mark into a group of its own.',
  });
};

/**
 * `several` where shapes have centres of their own, clear of each other; `apart` where centres of
 * one mark disagree.
 */
const findCentre = (
  shapes: readonly Shape[],
): Point | 'several' | { readonly apart: readonly [Point, Point] } => {
  if (shapes.length === 1) return markCentre(shapes[0]!);
  const centred: { readonly shape: Shape; readonly centre: Point }[] = [];
  const straight: Shape[] = [];
  for (const shape of shapes) {
    const centre = roundCentre(shape) ?? meetingPoint(shape.paths);
    if (centre !== undefined) centred.push({ shape, centre });
    else if (
      shape.paths.every((path) => !path.closed && path.segments.every(({ kind }) => kind === 'line'))
    ) {
      straight.push(shape);
    }
  }
  const crossing = meetingPoint(straight.flatMap(({ paths }) => paths));
  const centres = [...centred.map(({ centre }) => centre), ...(crossing === undefined ? [] : [crossing])];
  const [first] = centres;
  if (first === undefined) return boxCentre(shapes.map(shapeBox).reduce(joinBoxes, emptyBox));
  const apart = centres.find((centre) => distance(centre, first) > centreTolerance);
  if (apart === undefined) return first;
  return centred.length > 1 && allClear(centred.map(({ shape }) => shape))
    ? 'several'
    : { apart: [first, apart] };
};

const allClear = (shapes: readonly Shape[]): boolean => {
  const boxes = shapes.map(shapeBox);
  return boxes.every((box, i) => boxes.every((other, j) => j <= i || !boxesMeet(box, other)));
};

const namesOf = (shape: Shape): string[] => [...new Set([shape.id, ...(shape.labels ?? [])])];

/**
 * The first name that is still free is the name; a name that several marks bear is no other name of
 * any.
 */
const withUniqueNames = (found: readonly FoundMark[]): DrawnMark[] => {
  const bearers = new Map<string, number>();
  for (const { names } of found) for (const name of names) bearers.set(name, (bearers.get(name) ?? 0) + 1);
  const taken = new Set<string>();
  const named = found.map(({ names, centre, shapes }) => {
    const candidates = [...names, ...shapes.map(({ id }) => id)];
    const name = candidates.find((candidate) => !taken.has(candidate)) ?? shapes[0]!.id;
    taken.add(name);
    return { name, names, centre, shapes };
  });
  return named.map(({ name, names, centre, shapes }) => ({
    name,
    otherNames: names.filter((other) => bearers.get(other) === 1 && !taken.has(other)),
    centre,
    shapes,
  }));
};
