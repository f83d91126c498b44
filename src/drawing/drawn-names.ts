/** The names of a drawing, looked up: a drawing may have a million shapes, and most bear no name but a made-up id. */
import type { Shape } from './drawing.js';
import { hasId, hasLabel, isLikeMadeUp, isPlain, labelsNow } from './shape-store.js';

/** So many names are looked up one by one, each by a walk over the shapes; for more a set of all names is worth its room. */
const mostWalks = 24;

export class DrawnNames {
  private readonly layers: ReadonlySet<string>;
  private readonly all: Bearers;
  /** Those that say more than a made-up id. A word that looks like no such id can be the name of these only. */
  private readonly telling: Bearers;
  private readonly spellings = new Map<string, string>();

  constructor(shapes: readonly Shape[]) {
    this.layers = layerNamesOf(shapes);
    this.all = new Bearers(shapes);
    this.telling = shapes.some(isPlain) ? new Bearers(shapes.filter((shape) => !isPlain(shape))) : this.all;
  }

  /** Every name that the drawing gives, layers first; some of them several times, and of made-up ids not all. */
  *given(): Generator<string> {
    yield* this.layers;
    yield* this.telling.names();
  }

  has(name: string): boolean {
    return this.layers.has(name) || this.bearersOf(name).has(name);
  }

  /** With the capitals of the drawing, where it has the name in one other spelling only. */
  spelled(name: string): string {
    const known = this.spellings.get(name) ?? this.spellingOf(name);
    this.spellings.set(name, known);
    return known;
  }

  private spellingOf(name: string): string {
    const bearers = this.bearersOf(name);
    if (this.has(name) || bearers.haveId(name)) return name;
    const plain = name.toLowerCase();
    const same = new Set<string>();
    const compare = (one: string): void => {
      if (one.length === name.length && one.toLowerCase() === plain) same.add(one);
    };
    for (const one of this.layers) compare(one);
    for (const one of bearers.names()) compare(one);
    const [only] = same;
    return same.size === 1 ? only! : name;
  }

  private bearersOf(name: string): Bearers {
    return isLikeMadeUp(name) ? this.all : this.telling;
  }
}

/** Shapes whose names are looked up. */
class Bearers {
  private readonly answers = new Map<string, boolean>();
  private set: ReadonlySet<string> | undefined;

  constructor(private readonly shapes: readonly Shape[]) {}

  /** The names that the drawing gives them. */
  *names(): Generator<string> {
    for (const shape of this.shapes) {
      if (shape.named) yield shape.id;
      yield* labelsNow(shape);
    }
  }

  has(name: string): boolean {
    const known = this.answers.get(name) ?? this.find(name);
    this.answers.set(name, known);
    return known;
  }

  private find(name: string): boolean {
    if (this.answers.size < mostWalks) {
      return this.shapes.some((shape) => (shape.named && hasId(shape, name)) || hasLabel(shape, name));
    }
    this.set ??= new Set(this.names());
    return this.set.has(name);
  }

  /** Whether one has this id, the drawing's own or a made-up one. */
  haveId(name: string): boolean {
    return this.shapes.some((shape) => hasId(shape, name));
  }
}

/** The names of all layers, innermost first as they are met. */
export const layerNamesOf = (shapes: Iterable<Shape>): Set<string> => {
  const names = new Set<string>();
  let last: readonly string[] | undefined;
  for (const { layers } of shapes) {
    if (layers === last) continue;
    last = layers;
    for (const layer of layers) names.add(layer);
  }
  return names;
};

/** Every name that a drawing gives, layers first. */
export const knownNames = (shapes: readonly Shape[]): string[] => {
  const names = layerNamesOf(shapes);
  for (const shape of shapes) {
    if (shape.named) names.add(shape.id);
    for (const label of labelsNow(shape)) names.add(label);
  }
  return [...names];
};
