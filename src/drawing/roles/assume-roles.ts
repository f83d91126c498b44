/**
 * What is assumed about shapes for which the drawing has no layer, and whether that is certain.
 *
 * Looked at are the closed paths that have no role and may be given the one that is missing: no
 * marks, nothing the job leaves out, no background of the page's size (background.ts). "Lies in"
 * and "crosses" are those of geometry/rings/nesting.ts.
 *
 * **Neither outline nor openings are known.** It is certain
 * - that one path is the outline and all others are openings: where no two cross, all others lie in
 * it without touching it,
 *   none of them lies in another of them, and no open lines go round it;
 * - that all are openings and there is no outline: where none lies in another one, and no two
 * cross.
 *
 * **One closed path alone** is the edge of the panel or an opening; where it lies says nothing of
 * that. Marks do: they lie on the part that is put back. The inside of an opening is gone, so a
 * path with marks in it, and none outside, is the edge. Outside the edge there is no panel, so a
 * path with marks outside, and none in it, is an opening. Marks on the line itself (corners that
 * are touched) say nothing. Typed positions and drawn marks count alike. Without marks, or with
 * some on either side, it is not certain. Marks outside say the same of one shape whose closed
 * paths all lie in one of them, such as a letter with its counter: it is an opening with islands.
 *
 * Everything else has several readings. A path inside an opening may be an island, or the opening
 * of a panel inside a frame; a path over the edge may be an opening or a stray one; a path beside
 * the panel may be a title block, or there may be two panels. The wrong one turns a panel inside
 * out: its edge is an opening, its openings are islands, and what is set back is set back the wrong
 * way. So nothing is certain then: there are `readings`, the likeliest first.
 *
 * **The outline is known.** Paths in it are openings, and others have no role. Certain where none
 * crosses it.
 *
 * **The openings are known.** The one path that holds all of them is the outline; of several none
 * is taken, and that is said. The openings do not hang on it, so this is never in doubt.
 *
 * Open paths stay unused. A path that is the outline and its openings in one is taken apart
 * (panel-parts.ts).
 */

import { boxSize } from '../../geometry/boxes/box-holders.js';
import { type Box, growBox, type Point } from '../../geometry/point.js';
import { liesIn } from '../../geometry/rings/nesting.js';
import { relationOf, touchingWithin } from '../../geometry/rings/ring-relation.js';
import { boxOfPath } from '../../geometry/stored-path.js';
import type { Role, Shape } from '../model/drawing.js';
import { closedCount, isAllOpen, shapeBox, transientPaths } from '../model/shape-store.js';
import { ClosedRings } from './closed-rings.js';
import { takenApart } from './panel-parts.js';
import { type RefusedRoles, ShapeRoles } from './shape-roles.js';

/** Default layers that the drawing lacks. */
export interface MissingLayers {
  readonly outline: boolean;
  readonly openings: boolean;
}

/** Shapes with their roles, one way to understand them. */
export interface Reading {
  /** The shapes, one of them perhaps in parts, and the role of each. */
  readonly roles: ShapeRoles;
  /** The roles of the shapes as they were; of one in parts, that of its first. */
  readonly ofWhole: ShapeRoles;
}

/** Why an assumption is not certain. */
export interface Doubt {
  /** A clause: `circle-2 crosses rect-1`. */
  readonly why: string;
  /** The other ways to understand the drawing. */
  readonly others: readonly Reading[];
}

export interface Assumption extends Reading {
  readonly doubt?: Doubt;
  /** It is known that no opening lies in another one. */
  readonly areApart?: true;
  /**
   * Where the openings are known: several paths that hold all of them, none of which was taken for
   * the outline.
   */
  readonly severalRound?: readonly Shape[];
}

/** How near two outlines lie to be one that was drawn twice, mm. */
const twiceWithin = 0.01;

/** So many closed paths are compared: no part that is cut has more openings. */
const mostCompared = 200_000;

/** So many crossings are looked for: beyond them nothing more is told of them. */
const mostCrossings = 200;

/**
 * @param refused roles that a shape must not be given
 * @param typedMarks where the job says that marks are, mm
 * @returns undefined where nothing was assumed
 */
export const assumeRoles = (
  known: ShapeRoles,
  missing: MissingLayers,
  refused: RefusedRoles,
  typedMarks: readonly Point[],
): Assumption | undefined => {
  if (!missing.outline && !missing.openings) return undefined;
  const drawn = new Drawn(known, missing, refused, typedMarks);
  if (!missing.openings) return outlineOf(drawn);
  return missing.outline ? bothOf(drawn) : openingsOf(drawn);
};

/** What was drawn, and how roles are given to it. */
class Drawn {
  readonly shapes: readonly Shape[];

  constructor(
    readonly known: ShapeRoles,
    readonly missing: MissingLayers,
    private readonly refused: RefusedRoles,
    private readonly typedMarks: readonly Point[],
  ) {
    this.shapes = known.shapes;
  }

  /** Where marks lie. */
  *marks(): Generator<Point> {
    yield* this.typedMarks;
    for (const shape of this.known.each('mark')) {
      const { minX, minY, maxX, maxY } = shapeBox(shape);
      yield { x: (minX + maxX) / 2, y: (minY + maxY) / 2 };
    }
  }

  /** No role is refused to any shape. */
  get isFreeAtAll(): boolean {
    return this.refused.areNone;
  }

  isFree(place: number, role: Role): boolean {
    return this.known.at(place) === 'unused' && this.refused.mayBe(place, role);
  }

  ringsOf(isWanted: (place: number) => boolean): ClosedRings {
    return new ClosedRings(this.shapes, isWanted);
  }

  /**
   * @param isEdge whether a shape is the outline
   * @param isOpening asked of shapes with closed paths that are free for it
   */
  reading(isEdge: (place: number) => boolean, isOpening: (place: number) => boolean): Reading {
    const { shapes, known, missing } = this;
    const ofWhole = new ShapeRoles(shapes);
    const inParts: number[] = [];
    for (let i = 0; i < shapes.length; i += 1) {
      const role = known.at(i);
      if (role !== 'unused') ofWhole.set(i, role);
      const mayOpen = missing.openings && this.refused.mayBe(i, 'opening');
      const edge = role === 'outline' || (role === 'unused' && isEdge(i));
      if (edge) {
        ofWhole.set(i, 'outline');
        if (mayOpen && closedCount(shapes[i]!) > 1) inParts.push(i);
      } else if (role === 'unused' && mayOpen && closedCount(shapes[i]!) > 0 && isOpening(i)) {
        ofWhole.set(i, 'opening');
      }
    }
    return { roles: inParts.length === 0 ? ofWhole : takenApart(shapes, ofWhole, inParts), ofWhole };
  }
}

/** The openings are known. */
const outlineOf = (drawn: Drawn): Assumption | undefined => {
  const { shapes, known } = drawn;
  if (areAllOpen(known.each('unused'))) return undefined;
  const free = drawn.ringsOf((place) => drawn.isFree(place, 'outline'));
  if (free.count === 0) return undefined;
  const openings = drawn.ringsOf((place) => known.at(place) === 'opening');
  if (openings.count === 0) return undefined;
  const round = ringsRound(free, openings);
  const [first] = round;
  if (first === undefined) return undefined;
  const places = new Set(round.map((i) => free.placeOf(i)));
  if (round.some((i) => !free.coincide(i, first, twiceWithin))) {
    const reading = drawn.reading(
      () => false,
      () => false,
    );
    return { ...reading, severalRound: [...places].map((place) => shapes[place]!) };
  }
  return drawn.reading(
    (place) => places.has(place),
    () => false,
  );
};

const areAllOpen = (shapes: Iterable<Shape>): boolean => {
  for (const shape of shapes) if (!isAllOpen(shape)) return false;
  return true;
};

const boxRound = (rings: ClosedRings): Box => {
  let [minX, minY, maxX, maxY] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY, -Infinity, -Infinity];
  for (let i = 0; i < rings.count; i += 1) {
    const box = rings.boxOf(i);
    minX = Math.min(minX, box.minX);
    minY = Math.min(minY, box.minY);
    maxX = Math.max(maxX, box.maxX);
    maxY = Math.max(maxY, box.maxY);
  }
  return { minX, minY, maxX, maxY };
};

const holds = (outer: Box, inner: Box): boolean =>
  outer.minX <= inner.minX &&
  outer.minY <= inner.minY &&
  outer.maxX >= inner.maxX &&
  outer.maxY >= inner.maxY;

/** The outline is known. */
const openingsOf = (drawn: Drawn): Assumption => {
  const { shapes, known } = drawn;
  const edges = drawn.ringsOf((place) => known.at(place) === 'outline');
  const rings = drawn.ringsOf((place) => drawn.isFree(place, 'opening'));
  const edgeRings = Array.from({ length: edges.count }, (_, i) => edges.ringAt(i));
  const index = edges.count === 0 ? undefined : edges.index();
  /** Of each shape: whether some of it lies outside, and whether some crosses the outline. */
  const outside = new Set<number>();
  const crossing = new Map<number, Shape>();
  for (let i = 0; i < rings.count && edgeRings.length > 0; i += 1) {
    const ring = rings.ringAt(i);
    let isInside = false;
    const { minX, minY, maxX, maxY } = ring.box;
    for (const k of index?.search(minX, minY, maxX, maxY) ?? []) {
      const { kind } = relationOf(ring, edgeRings[k]!);
      if (kind === 'crossing') crossing.set(rings.placeOf(i), shapes[edges.placeOf(k)]!);
      isInside ||= kind === 'inside';
    }
    if (!isInside) outside.add(rings.placeOf(i));
  }
  const isNoEdge = () => false;
  const inside = drawn.reading(isNoEdge, (place) => !outside.has(place));
  const [first] = crossing;
  if (first === undefined) return inside;
  const [place, edge] = first;
  const withCrossing = drawn.reading(isNoEdge, (i) => !outside.has(i) || crossing.has(i));
  return {
    ...withCrossing,
    doubt: { why: crossesWhat([[shapes[place]!, edge]], crossing.size), others: [inside] },
  };
};

const crossesWhat = (pairs: readonly (readonly [Shape, Shape])[], count: number): string => {
  const [one, other] = pairs[0]!;
  return `${one.id} crosses ${other.id}${count > 1 ? `, and so do ${count - 1} more pairs` : ''}`;
};

/** Neither the outline nor the openings are known. */
const bothOf = (drawn: Drawn): Assumption => {
  const rings = drawn.ringsOf((place) => drawn.isFree(place, 'opening'));
  const all = drawn.reading(
    () => false,
    () => true,
  );
  if (rings.count === 0) return all;
  if (rings.count > mostCompared) {
    const why = `${rings.count} closed paths are too many to tell the outline from the openings`;
    return { ...all, doubt: { why, others: [] } };
  }
  const edge = ringRoundAll(drawn, rings);
  if (edge !== undefined) {
    return drawn.reading(
      (place) => place === edge,
      () => true,
    );
  }
  const twins = twinsOfLargest(rings);
  const once =
    twins.size === 0 ? rings : drawn.ringsOf((place) => drawn.isFree(place, 'opening') && !twins.has(place));
  if (once.count === 1 && drawn.isFree(once.placeOf(0), 'outline')) return singleOf(drawn, once, all, twins);
  return new Levels(drawn, once, all, twins).assumption();
};

/** Of one closed path alone. */
const singleOf = (
  drawn: Drawn,
  rings: ClosedRings,
  opening: Reading,
  twins: ReadonlySet<number>,
): Assumption => {
  const place = rings.placeOf(0);
  const edge = drawn.reading(
    (i) => i === place || twins.has(i),
    () => false,
  );
  const { inside, outside } = marksAbout(drawn, rings, 0);
  if (inside && !outside) return edge;
  if (outside && !inside) return opening;
  const id = drawn.shapes[place]!.id;
  const why = inside
    ? `${id} is the only closed path, and marks lie in it as well as outside`
    : `${id} is the only closed path, and no marks tell whether it is the edge of the panel or an opening`;
  return { ...opening, doubt: { why, others: [edge] } };
};

/** Whether some marks lie in a ring, and some outside; those on it say nothing. */
const marksAbout = (
  drawn: Drawn,
  rings: ClosedRings,
  ring: number,
): { inside: boolean; outside: boolean } => {
  const { prepared } = rings.ringAt(ring);
  let [inside, outside] = [false, false];
  for (const mark of drawn.marks()) {
    if (prepared.isNear(mark, touchingWithin)) continue;
    if (prepared.holds(mark)) inside = true;
    else outside = true;
  }
  return { inside, outside };
};

/** The shape round all others of which the job says that it is no opening, if there is just one. */
const ringRoundAll = (drawn: Drawn, rings: ClosedRings): number | undefined => {
  if (drawn.isFreeAtAll) return undefined;
  const edges = drawn.ringsOf((place) => drawn.isFree(place, 'outline') && !drawn.isFree(place, 'opening'));
  if (edges.count === 0) return undefined;
  const round = ringsRound(edges, rings);
  return round.length === 1 ? edges.placeOf(round[0]!) : undefined;
};

/** Which rings hold all of others. */
const ringsRound = (outer: ClosedRings, inner: ClosedRings): number[] => {
  const all = boxRound(inner);
  const round: number[] = [];
  for (let i = 0; i < outer.count; i += 1) {
    if (!holds(growBox(outer.boxOf(i), touchingWithin), all)) continue;
    const ring = outer.ringAt(i);
    let holdsAll = true;
    for (let k = 0; k < inner.count && holdsAll; k += 1) holdsAll = liesIn(inner.ringAt(k), ring);
    if (holdsAll) round.push(i);
  }
  return round;
};

/** Shapes that are the largest ring once more: an outline may be drawn twice. */
const twinsOfLargest = (rings: ClosedRings): ReadonlySet<number> => {
  let largest = 0;
  for (let i = 1; i < rings.count; i += 1) {
    if (boxSize(rings.boxes, i) > boxSize(rings.boxes, largest)) largest = i;
  }
  const twins = new Set<number>();
  for (let i = 0; i < rings.count; i += 1) {
    if (rings.placeOf(i) !== rings.placeOf(largest) && rings.coincide(i, largest, twiceWithin)) {
      twins.add(rings.placeOf(i));
    }
  }
  return twins;
};

/** The closed paths by how many others they lie in. */
class Levels {
  private readonly levels: Int32Array;
  private readonly deepest: number;
  private readonly crossings: readonly (readonly [number, number])[];
  /** Rings in which others lie. */
  private readonly holders = new Set<number>();

  constructor(
    private readonly drawn: Drawn,
    private readonly rings: ClosedRings,
    private readonly all: Reading,
    /** Shapes that are the largest ring once more. */
    private readonly twins: ReadonlySet<number>,
  ) {
    const { nesting, count } = rings;
    this.levels = Int32Array.from({ length: count }, (_, i) => nesting.level(i));
    this.deepest = this.levels.reduce((most, level) => Math.max(most, level), 0);
    this.crossings = rings.crossings(mostCrossings);
    for (let i = 0; i < count; i += 1) {
      const [round] = nesting.around(i);
      if (round !== undefined) this.holders.add(round);
    }
  }

  assumption(): Assumption {
    const { all, crossings, deepest, drawn, rings } = this;
    const shapeOf = (ring: number): Shape => drawn.shapes[rings.placeOf(ring)]!;
    if (crossings.length > 0) {
      const pairs = crossings.map(([i, k]) => [shapeOf(i), shapeOf(k)] as const);
      return this.doubtful(crossesWhat(pairs, crossings.length), this.likeliestFirst());
    }
    if (deepest > 1) {
      const inner = this.levels.indexOf(2);
      const [middle, outer] = rings.nesting.around(inner);
      const ids = [inner, middle!, outer!].map((ring) => shapeOf(ring).id);
      const why =
        ids[0] === ids[2]
          ? `${ids[0]} has closed parts in one another, three deep`
          : `${ids[0]} lies in ${ids[1]}, and that in ${ids[2]}`;
      return this.doubtful(why, this.likeliestFirst());
    }
    if (deepest === 0) return this.apart(all);
    const tops = this.atLevel(0);
    const [top] = tops.filter((ring) => this.holders.has(ring)) as [number];
    const beside = tops.find((ring) => ring !== top);
    const outer = [...this.panelsAt(0, true), ...this.largestAlone(), all];
    if (!this.mayBeEdge(top)) {
      return this.doubtful(`${shapeOf(top).id} holds all others and is not to be the outline`, outer);
    }
    if (beside !== undefined) {
      return this.doubtful(`${shapeOf(beside).id} lies beside ${shapeOf(top).id}`, outer);
    }
    const touching = this.touching(top);
    if (touching !== undefined) {
      return this.doubtful(`${shapeOf(touching).id} touches ${shapeOf(top).id}`, outer);
    }
    if (goesRound(drawn, rings.boxOf(top))) {
      const why = `open lines go round ${shapeOf(top).id}, so it may be no edge of the panel`;
      return this.doubtful(why, [all, ...this.panelsAt(0, true)]);
    }
    const [panel] = this.panelsAt(0, true);
    if (panel === undefined) return all;
    if (closedCount(shapeOf(top)) === rings.count) {
      const marks = marksAbout(drawn, rings, top);
      if (marks.outside && !marks.inside) return all;
    }
    return this.apart(panel);
  }

  /** Of an outline that was drawn twice, what else its second shape holds was not looked at. */
  private apart(reading: Reading): Assumption {
    return this.twins.size > 0 ? reading : { ...reading, areApart: true };
  }

  private doubtful(why: string, [first, ...others]: readonly Reading[]): Assumption {
    const seen: Reading[] = [first!];
    const isNew = (reading: Reading): boolean => {
      const known = seen.some(({ roles }) => roles.equals(reading.roles));
      if (!known) seen.push(reading);
      return !known;
    };
    return { ...first!, doubt: { why, others: others.filter(isNew) } };
  }

  private mayBeEdge(ring: number): boolean {
    return this.drawn.isFree(this.rings.placeOf(ring), 'outline');
  }

  private atLevel(level: number): number[] {
    const found: number[] = [];
    for (let i = 0; i < this.levels.length; i += 1) if (this.levels[i] === level) found.push(i);
    return found;
  }

  /** Ways to understand what is nested deeper than a panel with openings, or crosses. */
  private likeliestFirst(): Reading[] {
    const { all, crossings, deepest } = this;
    const isCrossed = crossings.length > 0;
    const outer = [
      ...this.panelsAt(0, true),
      ...this.largestAlone(),
      ...(isCrossed ? this.panelsAt(0, false) : []),
    ];
    if (deepest < 2) return [...outer, all];
    const framed = [...this.panelsAt(1, true), ...(isCrossed ? this.panelsAt(1, false) : [])];
    const found = this.isFramed() ? [...framed, ...outer] : [...outer, ...framed];
    return found.length > 0 ? found : [all];
  }

  /** Whether one path inside the outermost one holds most of what lies inside that one. */
  private isFramed(): boolean {
    const { levels, holders, rings } = this;
    const inner = this.atLevel(1).filter((ring) => holders.has(ring));
    if (inner.length !== 1) return false;
    let held = 0;
    for (let i = 0; i < levels.length; i += 1) {
      if (levels[i]! > 1 && rings.nesting.around(i).includes(inner[0]!)) held += 1;
    }
    return 2 * held >= levels.length - 1;
  }

  /**
   * The paths of a level that hold others are outlines, what lies in them are openings, and the
   * rest has no role.
   * @param crossingToo whether what crosses an outline is an opening over the edge
   * @returns one reading, or none where no path of the level can be an outline
   */
  private panelsAt(level: number, crossingToo: boolean): Reading[] {
    return this.panels(this.holdersAt(level), level, crossingToo);
  }

  /**
   * Where several outermost paths hold others (text and title blocks do, too): the largest of them
   * as the only outline.
   */
  private largestAlone(): Reading[] {
    const outer = this.holdersAt(0);
    if (outer.length < 2) return [];
    const largest = outer.reduce((one, other) =>
      boxSize(this.rings.boxes, other) > boxSize(this.rings.boxes, one) ? other : one,
    );
    return this.panels([largest], 0, true);
  }

  private holdersAt(level: number): number[] {
    return this.atLevel(level).filter((ring) => this.holders.has(ring) && this.mayBeEdge(ring));
  }

  private panels(outlines: readonly number[], level: number, crossingToo: boolean): Reading[] {
    const { crossings, drawn, levels, rings } = this;
    let edges = new Set(outlines);
    if (edges.size === 0) {
      const crossed = new Set(
        crossings.flat().filter((ring) => levels[ring] === level && this.mayBeEdge(ring)),
      );
      const sizes = [...crossed].map((ring) => [rings.areaOf(ring), ring] as const);
      edges = new Set(
        sizes
          .sort(([a], [b]) => b - a)
          .slice(0, 1)
          .map(([, ring]) => ring),
      );
    }
    if (edges.size === 0) return [];
    const overEdge = new Set(
      crossings
        .flatMap(([i, k]) => (edges.has(i) ? [k] : edges.has(k) ? [i] : []))
        .filter((i) => !edges.has(i)),
    );
    const edgePlaces = new Set([...edges].map((ring) => rings.placeOf(ring)));
    const elsewhere = new Set<number>();
    for (let i = 0; i < rings.count; i += 1) {
      if (edges.has(i) || (crossingToo && overEdge.has(i))) continue;
      const isIn = levels[i]! > level && rings.nesting.around(i).some((ring) => edges.has(ring));
      if (!isIn || (overEdge.has(i) && !crossingToo)) elsewhere.add(rings.placeOf(i));
    }
    const isEdge = (place: number): boolean =>
      edgePlaces.has(place) || (level === 0 && this.twins.has(place));
    return [drawn.reading(isEdge, (place) => !elsewhere.has(place) && !this.twins.has(place))];
  }

  /** A ring that touches the one round it. */
  private touching(top: number): number | undefined {
    const outer = this.rings.ringAt(top);
    for (let i = 0; i < this.rings.count; i += 1) {
      if (this.levels[i] === 0) continue;
      if (outer.prepared.near(growBox(this.rings.boxOf(i), touchingWithin)).length === 0) continue;
      if (relationOf(this.rings.ringAt(i), outer).touching) return i;
    }
    return undefined;
  }
}

/**
 * Whether open paths that run past a box on one side at least lie round it together: an edge that
 * does not close.
 */
const goesRound = (drawn: Drawn, { minX, minY, maxX, maxY }: Box): boolean => {
  let [left, below, right, above] = [false, false, false, false];
  for (let i = 0; i < drawn.shapes.length; i += 1) {
    if (drawn.known.at(i) !== 'unused') continue;
    for (const path of transientPaths(drawn.shapes[i]!)) {
      if (path.closed) continue;
      const box = boxOfPath(path);
      const isWide = box.minX <= minX && box.maxX >= maxX;
      const isHigh = box.minY <= minY && box.maxY >= maxY;
      if (!isWide && !isHigh) continue;
      left ||= box.minX < minX;
      right ||= box.maxX > maxX;
      below ||= box.minY < minY;
      above ||= box.maxY > maxY;
    }
  }
  return left && below && right && above;
};
