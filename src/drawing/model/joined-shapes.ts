/** Shapes that took in lines of others. */
import type { Path } from '../../geometry/curve.js';
import type { CurveStore } from '../../geometry/curve-store.js';
import { StoredPath } from '../../geometry/stored-path.js';
import { IntList } from '../../numeric/int-list.js';
import { ColumnShape } from './column-shape.js';
import type { Group, Shape } from './drawing.js';
import { hasId, hasLabel, isClosedAt, isPlain, labelsNow, pathAt, pathCount } from './shape-store.js';

/** What these shapes are made of, in columns. */
export class JoinedShapes {
  private readonly pathsFrom = new IntList();
  private readonly paths = new IntList();
  private readonly furtherFrom = new IntList();
  private readonly further = new IntList();
  /**
   * 1 for a path that is made of those of several shapes, and 2 for no name that is not made up.
   */
  private readonly flags = new IntList();

  /**
   * @param shapes of the drawing as it was read
   * @param curves has the joined paths
   */
  constructor(
    readonly shapes: readonly Shape[],
    readonly curves: CurveStore,
  ) {}

  /**
   * @param changed.paths numbers in `curves`, or below 0 the places of its own, counted from -1
   * down; none: its own, all of them
   * @param changed.further places among `shapes` of those that went into it
   * @param changed.joined whether a path is made of those of several shapes
   */
  add(
    owner: Shape,
    changed: {
      readonly paths: readonly number[];
      readonly further: Iterable<number>;
      readonly joined: boolean;
    },
  ): Shape {
    let plain = isPlain(owner);
    this.pathsFrom.push(this.paths.length);
    for (const path of changed.paths) this.paths.push(path);
    this.furtherFrom.push(this.further.length);
    for (const shape of changed.further) {
      this.further.push(shape);
      plain &&= isPlain(this.shapes[shape]!);
    }
    const number = this.flags.push((changed.joined ? 1 : 0) | (plain ? 2 : 0));
    return new JoinedShape(this, owner, number);
  }

  isMade(number: number): boolean {
    return (this.flags.at(number) & 1) === 1;
  }

  isPlain(number: number): boolean {
    return (this.flags.at(number) & 2) === 2;
  }

  /** How many paths are said of a shape: 0 for its own. */
  pathCountOf(number: number): number {
    return this.endOf(this.pathsFrom, number, this.paths) - this.pathsFrom.at(number);
  }

  pathNumberOf(number: number, place: number): number {
    return this.paths.at(this.pathsFrom.at(number) + place);
  }

  *furtherOf(number: number): Generator<Shape> {
    const end = this.endOf(this.furtherFrom, number, this.further);
    for (let i = this.furtherFrom.at(number); i < end; i += 1) yield this.shapes[this.further.at(i)]!;
  }

  private endOf(from: IntList, number: number, all: IntList): number {
    return number + 1 < from.length ? from.at(number + 1) : all.length;
  }
}

/**
 * A shape with other paths, and with the names of those that went into it: they are put together
 * when they are asked for.
 */
class JoinedShape extends ColumnShape {
  constructor(
    private readonly joined: JoinedShapes,
    private readonly owner: Shape,
    private readonly number: number,
  ) {
    super();
  }

  get id(): string {
    return this.owner.id;
  }

  get named(): boolean {
    return this.owner.named;
  }

  get layers(): readonly string[] {
    return this.owner.layers;
  }

  get labels(): readonly string[] | undefined {
    const labels = [...new Set(this.labelsNow())];
    return labels.length === 0 ? undefined : labels;
  }

  get group(): Group | undefined {
    return this.owner.group;
  }

  get element(): string {
    return this.joined.isMade(this.number) ? 'joined' : this.owner.element;
  }

  get stroke(): string | undefined {
    return this.owner.stroke;
  }

  get fill(): string | undefined {
    return this.owner.fill;
  }

  get filled(): Shape['filled'] {
    return this.owner.filled;
  }

  get line(): number | undefined {
    return this.owner.line;
  }

  get pathCount(): number {
    return this.joined.pathCountOf(this.number) || pathCount(this.owner);
  }

  get isPlain(): boolean {
    return this.joined.isPlain(this.number);
  }

  hasId(name: string): boolean {
    return hasId(this.owner, name);
  }

  hasLabel(name: string): boolean {
    if (hasLabel(this.owner, name)) return true;
    for (const shape of this.joined.furtherOf(this.number)) {
      if (hasId(shape, name) || hasLabel(shape, name)) return true;
    }
    return false;
  }

  *labelsNow(): Generator<string> {
    yield* labelsNow(this.owner);
    for (const shape of this.joined.furtherOf(this.number)) {
      yield shape.id;
      yield* labelsNow(shape);
    }
  }

  override further(): Iterable<Shape> {
    return this.joined.furtherOf(this.number);
  }

  isClosedAt(place: number): boolean {
    const path = this.pathNumberOf(place);
    return path < 0 ? isClosedAt(this.owner, ~path) : this.joined.curves.isClosed(path);
  }

  pathAt(place: number): Path {
    const path = this.pathNumberOf(place);
    return path < 0 ? pathAt(this.owner, ~path) : new StoredPath(this.joined.curves, path);
  }

  private pathNumberOf(place: number): number {
    return this.joined.pathCountOf(this.number) === 0 ? ~place : this.joined.pathNumberOf(this.number, place);
  }
}
