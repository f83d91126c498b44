/** The shapes of a drawing as columns: a drawing may have a million of them. */

import type { Path } from '../../geometry/curve.js';
import { CurveStore } from '../../geometry/curve-store.js';
import { type Box, emptyBox, joinBoxes } from '../../geometry/point.js';
import { boxOfPath, StoredPath } from '../../geometry/stored-path.js';
import { ColumnShape } from './column-shape.js';
import type { Group, Shape } from './drawing.js';
import { Recurring } from './recurring.js';

/** What a reader says of a shape beside its paths. */
export interface ShapeAttributes {
  /**
   * The id it gives; undefined for one that is made up of the element and the place in the file.
   */
  readonly id: string | undefined;
  readonly labels: readonly string[] | undefined;
  readonly element: string;
  readonly layers: readonly string[];
  readonly group: Group | undefined;
  readonly stroke: string | undefined;
  readonly fill?: string | undefined;
  readonly filled?: Shape['filled'];
  readonly line: number | undefined;
}

const noLine = 0;

const fillings: readonly Shape['filled'][] = [undefined, 'alone', 'stroked'];

export class ShapeStore {
  readonly curves: CurveStore;
  count = 0;
  /** Where the next shape's paths begin. */
  private nextPath = 0;
  /** As far as there are any: most shapes of many drawings have none. */
  private readonly ids: (string | undefined)[] = [];
  /** 1: the id is the file's own. */
  private named: Uint8Array;
  /** Places among `fillings`. */
  private filled: Uint8Array;
  private firstPaths: Uint32Array;
  private lines: Uint32Array;
  private elements: Uint16Array;
  private strokes: Uint32Array;
  private fills: Uint32Array;
  private groupNumbers: Uint32Array;
  private readonly knownElements = new Recurring<string>();
  private readonly knownStrokes = new Recurring<string | undefined>();
  private readonly knownFills = new Recurring<string | undefined>();
  /**
   * Innermost groups of shapes, and the layers that follow from each: there may be as many as
   * shapes.
   */
  private readonly groups: (Group | undefined)[] = [];
  private readonly layers: (readonly string[])[] = [];
  private readonly labels = new Map<number, readonly string[]>();
  /** Place of each shape in the drawing, where that is another than its place here. */
  private places: Uint32Array | undefined;

  /**
   * @param expected about how many shapes will come: what is asked for too much is never touched,
   * and takes no room, but columns that grow are copied
   */
  constructor(expected = 0) {
    const size = Math.max(64, Math.ceil(expected));
    this.curves = new CurveStore(size);
    this.named = new Uint8Array(size);
    this.filled = new Uint8Array(size);
    this.firstPaths = new Uint32Array(size);
    this.lines = new Uint32Array(size);
    this.elements = new Uint16Array(size);
    this.strokes = new Uint32Array(size);
    this.fills = new Uint32Array(size);
    this.groupNumbers = new Uint32Array(size);
  }

  /** Paths that were kept in `curves` since the last shape. */
  get waiting(): number {
    return this.curves.count - this.nextPath;
  }

  /**
   * The paths that were kept in `curves` since the last shape are those of this one; its number is
   * the answer.
   */
  add(attributes: ShapeAttributes): number {
    const n = this.count;
    if (n === this.firstPaths.length) this.grow();
    this.firstPaths[n] = this.nextPath;
    this.nextPath = this.curves.count;
    this.lines[n] = attributes.line ?? noLine;
    this.elements[n] = this.knownElements.numberOf(attributes.element);
    this.strokes[n] = this.knownStrokes.numberOf(attributes.stroke);
    this.fills[n] = this.knownFills.numberOf(attributes.fill);
    this.groupNumbers[n] = this.groupNumberOf(attributes);
    if (attributes.id !== undefined) this.keepId(n, attributes.id);
    this.named[n] = 0;
    this.filled[n] = fillings.indexOf(attributes.filled);
    if (attributes.labels !== undefined && attributes.labels.length > 0)
      this.labels.set(n, attributes.labels);
    this.count = n + 1;
    return n;
  }

  /** Shapes of one group come one after another. */
  private groupNumberOf({ group, layers }: ShapeAttributes): number {
    const last = this.groups.length - 1;
    if (last >= 0 && this.groups[last] === group && this.layers[last] === layers) return last;
    this.groups.push(group);
    return this.layers.push(layers) - 1;
  }

  private grow(): void {
    const size = 2 * this.count;
    const grown = <T extends Uint8Array | Uint16Array | Uint32Array>(old: T, more: T): T => {
      more.set(old);
      return more;
    };
    this.named = grown(this.named, new Uint8Array(size));
    this.filled = grown(this.filled, new Uint8Array(size));
    this.firstPaths = grown(this.firstPaths, new Uint32Array(size));
    this.lines = grown(this.lines, new Uint32Array(size));
    this.elements = grown(this.elements, new Uint16Array(size));
    this.strokes = grown(this.strokes, new Uint32Array(size));
    this.fills = grown(this.fills, new Uint32Array(size));
    this.groupNumbers = grown(this.groupNumbers, new Uint32Array(size));
  }

  /** The id as it was given to the store; undefined for one that is to be made up. */
  givenId(n: number): string | undefined {
    return this.ids[n];
  }

  setId(n: number, id: string | undefined, named: boolean): void {
    if (id !== undefined || n < this.ids.length) this.keepId(n, id);
    this.named[n] = named ? 1 : 0;
  }

  addLabel(n: number, label: string): void {
    const labels = this.labels.get(n) ?? [];
    if (!labels.includes(label)) this.labels.set(n, [...labels, label]);
  }

  setLabels(n: number, labels: readonly string[]): void {
    if (labels.length > 0) this.labels.set(n, labels);
    else this.labels.delete(n);
  }

  /**
   * One that is made up is made anew each time: a million of them would take more room than all
   * else that is said of the shapes.
   */
  idOf(n: number): string {
    return this.ids[n] ?? `${this.elementOf(n)}-${(this.places?.[n] ?? n) + 1}`;
  }

  /** Without holes, which would make a table of the list. */
  private keepId(n: number, id: string | undefined): void {
    while (this.ids.length < n) this.ids.push(undefined);
    this.ids[n] = id;
  }

  hasId(n: number, name: string): boolean {
    const id = this.ids[n];
    if (id !== undefined) return id === name;
    const element = this.elementOf(n);
    if (!name.startsWith(element) || name.charCodeAt(element.length) !== 45) return false;
    return name === `${element}-${(this.places?.[n] ?? n) + 1}`;
  }

  isNamed(n: number): boolean {
    return this.named[n] === 1;
  }

  /** Whether it bears no name but a made-up id. */
  isPlain(n: number): boolean {
    return this.named[n] === 0 && (this.labels.size === 0 || !this.labels.has(n));
  }

  groupOf(n: number): Group | undefined {
    return this.groups[this.groupNumbers[n]!];
  }

  layersOf(n: number): readonly string[] {
    return this.layers[this.groupNumbers[n]!]!;
  }

  labelsOf(n: number): readonly string[] | undefined {
    return this.labels.size === 0 ? undefined : this.labels.get(n);
  }

  elementOf(n: number): string {
    return this.knownElements.values[this.elements[n]!]!;
  }

  strokeOf(n: number): string | undefined {
    return this.knownStrokes.values[this.strokes[n]!];
  }

  fillOf(n: number): string | undefined {
    return this.knownFills.values[this.fills[n]!];
  }

  filledOf(n: number): Shape['filled'] {
    return fillings[this.filled[n]!];
  }

  lineOf(n: number): number | undefined {
    const line = this.lines[n]!;
    return line === noLine ? undefined : line;
  }

  firstPath(n: number): number {
    return this.firstPaths[n]!;
  }

  /** The number behind that of the last path. */
  endOfPaths(n: number): number {
    return n + 1 < this.count ? this.firstPaths[n + 1]! : this.nextPath;
  }

  /**
   * The paths of a shape, made anew: for a look at each of many shapes, of which nothing is to be
   * kept.
   */
  pathsOf(n: number): Path[] {
    const paths: Path[] = [];
    const end = this.endOfPaths(n);
    for (let i = this.firstPath(n); i < end; i += 1) paths.push(new StoredPath(this.curves, i));
    return paths;
  }

  boxOf(n: number): Box {
    let box = emptyBox;
    const end = this.endOfPaths(n);
    for (let i = this.firstPath(n); i < end; i += 1) box = joinBoxes(box, this.curves.boxOf(i));
    return box;
  }

  segmentsIn(n: number): number {
    let sum = 0;
    const end = this.endOfPaths(n);
    for (let i = this.firstPath(n); i < end; i += 1) sum += this.curves.sizeOf(i);
    return sum;
  }

  /**
   * The shapes.
   * @param order their numbers, where that is another order than the one in which they were added
   */
  shapes(order?: Uint32Array): Shape[] {
    const shapes = new Array<Shape>(this.count);
    if (order === undefined) {
      for (let n = 0; n < shapes.length; n += 1) shapes[n] = new StoredShape(this, n);
      return shapes;
    }
    this.places = new Uint32Array(this.count);
    for (let i = 0; i < shapes.length; i += 1) {
      this.places[order[i]!] = i;
      shapes[i] = new StoredShape(this, order[i]!);
    }
    return shapes;
  }
}

export class StoredShape extends ColumnShape {
  constructor(
    readonly store: ShapeStore,
    readonly number: number,
  ) {
    super();
  }

  get id(): string {
    return this.store.idOf(this.number);
  }

  get named(): boolean {
    return this.store.isNamed(this.number);
  }

  get layers(): readonly string[] {
    return this.store.layersOf(this.number);
  }

  get labels(): readonly string[] | undefined {
    return this.store.labelsOf(this.number);
  }

  get group(): Group | undefined {
    return this.store.groupOf(this.number);
  }

  get element(): string {
    return this.store.elementOf(this.number);
  }

  get stroke(): string | undefined {
    return this.store.strokeOf(this.number);
  }

  get fill(): string | undefined {
    return this.store.fillOf(this.number);
  }

  get filled(): Shape['filled'] {
    return this.store.filledOf(this.number);
  }

  get line(): number | undefined {
    return this.store.lineOf(this.number);
  }

  get pathCount(): number {
    return this.store.endOfPaths(this.number) - this.store.firstPath(this.number);
  }

  get isPlain(): boolean {
    return this.store.isPlain(this.number);
  }

  hasId(name: string): boolean {
    return this.store.hasId(this.number, name);
  }

  hasLabel(name: string): boolean {
    return this.labels?.includes(name) === true;
  }

  labelsNow(): Iterable<string> {
    return this.labels ?? [];
  }

  isClosedAt(place: number): boolean {
    return this.store.curves.isClosed(this.store.firstPath(this.number) + place);
  }

  pathAt(place: number): Path {
    return new StoredPath(this.store.curves, this.store.firstPath(this.number) + place);
  }
}

/** A shape like another one, but for some of what it says. */
export const changedShape = (shape: Shape, changes: Partial<Shape>): Shape => {
  const { id, named, layers, labels, group, element, paths, stroke, fill, filled, line, openGap } = shape;
  return {
    id,
    named,
    layers,
    ...(labels === undefined ? {} : { labels }),
    ...(group === undefined ? {} : { group }),
    element,
    paths: changes.paths ?? paths,
    ...(stroke === undefined ? {} : { stroke }),
    ...(fill === undefined ? {} : { fill }),
    ...(filled === undefined ? {} : { filled }),
    ...(line === undefined ? {} : { line }),
    ...(openGap === undefined ? {} : { openGap }),
    ...changes,
  };
};

/**
 * Whether a word could be the made-up id of a shape: an element and a number, with hyphens behind
 * where that was taken, or the handle of a DXF entity.
 */
export const isLikeMadeUp = (word: string): boolean => /^entity-|-\d+-*$/i.test(word);

/**
 * Whether a shape bears no names but made-up ids: of a million shapes most are passed over for
 * that.
 */
export const isPlain = (shape: Shape): boolean =>
  shape instanceof ColumnShape
    ? shape.isPlain
    : !shape.named && (shape.labels?.length ?? 0) === 0 && isLikeMadeUp(shape.id);

/** Whether a shape has this id. */
export const hasId = (shape: Shape, name: string): boolean =>
  shape instanceof ColumnShape ? shape.hasId(name) : shape.id === name;

/** Whether a shape has this name beside its id. */
export const hasLabel = (shape: Shape, name: string): boolean =>
  shape instanceof ColumnShape ? shape.hasLabel(name) : shape.labels?.includes(name) === true;

/** The labels of a shape for a passing look: of very many nothing is kept. One may come twice. */
export const labelsNow = (shape: Shape): Iterable<string> =>
  shape instanceof ColumnShape ? shape.labelsNow() : (shape.labels ?? []);

/** The shapes whose lines went into this one, beside the one whose name it bears. */
export const furtherShapes = (shape: Shape): Iterable<Shape> =>
  shape instanceof ColumnShape ? shape.further() : [];

/** The paths of a shape for a passing look: of a million shapes nothing of them is kept. */
export const transientPaths = (shape: Shape): readonly Path[] =>
  shape instanceof ColumnShape ? shape.pathsNow() : shape.paths;

/** One path of a shape for a passing look. */
export const pathAt = (shape: Shape, place: number): Path =>
  shape instanceof ColumnShape ? shape.pathAt(place) : shape.paths[place]!;

export const isClosedAt = (shape: Shape, place: number): boolean =>
  shape instanceof ColumnShape ? shape.isClosedAt(place) : shape.paths[place]!.closed;

/** How many of the paths of a shape are closed. */
export const closedCount = (shape: Shape): number => {
  if (shape instanceof ColumnShape) return shape.closedCount();
  let count = 0;
  for (const { closed } of shape.paths) if (closed) count += 1;
  return count;
};

/** How many paths a shape has. */
export const pathCount = (shape: Shape): number =>
  shape instanceof ColumnShape ? shape.pathCount : shape.paths.length;

export const isAllClosed = (shape: Shape): boolean => closedCount(shape) === pathCount(shape);

export const isAllOpen = (shape: Shape): boolean => closedCount(shape) === 0;

/** The exact box of a shape. */
export const shapeBox = (shape: Shape): Box =>
  transientPaths(shape).reduce((box, path) => joinBoxes(box, boxOfPath(path)), emptyBox);
