/**
 * The names of a drawing, looked up: a drawing may have a million shapes, and most bear no name but
 * a made-up id.
 */
import type { Shape } from '../model/drawing.js';
import { hasEscapes, withoutEscapes } from '../model/escaped-name.js';
import { hasId, hasLabel, isLikeMadeUp, isPlain, labelsNow } from '../model/shape-store.js';

/**
 * So many names are looked up one by one, each by a walk over the shapes; for more a set of all
 * names is worth its room.
 */
const mostWalks = 24;

export class DrawnNames {
  private readonly layers: Lookup;
  private readonly all: Lookup;
  /**
   * Of the shapes that say more than a made-up id. A word that looks like no such id can be the
   * name of these only.
   */
  private readonly telling: Lookup;
  private readonly spellings = new Map<string, string>();

  constructor(private readonly shapes: readonly Shape[]) {
    const lists = layerLists(shapes);
    this.layers = new Lookup(
      () => namesOf(lists),
      (name) => lists.some((list) => list.includes(name)),
    );
    this.all = lookupOn(shapes);
    this.telling = shapes.some(isPlain) ? lookupOn(shapes.filter((shape) => !isPlain(shape))) : this.all;
  }

  /**
   * Every name that the drawing gives, layers first; some of them several times, and of made-up ids
   * not all.
   */
  *given(): Generator<string> {
    yield* this.layers.names();
    yield* this.telling.names();
  }

  has(name: string): boolean {
    return this.layers.has(name) || this.namesLike(name).has(name);
  }

  /** With the capitals of the drawing, where it has the name in one other spelling only. */
  spelled(name: string): string {
    const known = this.spellings.get(name) ?? this.spellingOf(name);
    this.spellings.set(name, known);
    return known;
  }

  private spellingOf(name: string): string {
    if (this.has(name)) return name;
    if (isLikeMadeUp(name) && this.shapes.some((shape) => hasId(shape, name))) return name;
    const plain = name.toLowerCase();
    const same = new Set<string>();
    for (const names of [this.layers, this.namesLike(name)]) {
      for (const one of names.names()) {
        if (one.length === name.length && one.toLowerCase() === plain) same.add(one);
      }
    }
    const [only] = same;
    if (same.size > 0) return same.size === 1 ? only! : name;
    return this.plainly(name) ?? name;
  }

  /**
   * The only name of the drawing that comes to the same once escapes are undone; undefined where
   * none or several do.
   */
  private plainly(name: string): string | undefined {
    const wanted = withoutEscapes(name);
    const found = new Set<string>();
    for (const names of [this.layers, this.namesLike(name)]) {
      for (const one of names.names()) {
        if ((hasEscapes(one) ? withoutEscapes(one) : one) === wanted) {
          found.add(one);
        }
      }
    }
    const [only] = found;
    return found.size === 1 ? only : undefined;
  }

  private namesLike(name: string): Lookup {
    return isLikeMadeUp(name) ? this.all : this.telling;
  }
}

/** Names that are looked for. */
class Lookup {
  private readonly answers = new Map<string, boolean>();
  private set: ReadonlySet<string> | undefined;

  /**
   * @param names made anew each time; one may come several times
   * @param walk looks for one without making all of them
   */
  constructor(
    readonly names: () => Generator<string>,
    private readonly walk: (name: string) => boolean,
  ) {}

  has(name: string): boolean {
    const known = this.answers.get(name) ?? this.find(name);
    this.answers.set(name, known);
    return known;
  }

  private find(name: string): boolean {
    if (this.answers.size < mostWalks) return this.walk(name);
    this.set ??= new Set(this.names());
    return this.set.has(name);
  }
}

const lookupOn = (shapes: readonly Shape[]): Lookup =>
  new Lookup(
    () => namesOn(shapes),
    (name) => shapes.some((shape) => (shape.named && hasId(shape, name)) || hasLabel(shape, name)),
  );

/** The names that a drawing gives its shapes. */
function* namesOn(shapes: readonly Shape[]): Generator<string> {
  for (const shape of shapes) {
    if (shape.named) yield shape.id;
    yield* labelsNow(shape);
  }
}

/** The layers around shapes, once for shapes that follow each other in the same ones. */
const layerLists = (shapes: Iterable<Shape>): readonly (readonly string[])[] => {
  const lists: (readonly string[])[] = [];
  let last: readonly string[] | undefined;
  for (const { layers } of shapes) {
    if (layers !== last && layers.length > 0) lists.push(layers);
    last = layers;
  }
  return lists;
};

function* namesOf(lists: readonly (readonly string[])[]): Generator<string> {
  for (const list of lists) for (const name of list) yield name;
}

/** The names of all layers, innermost first as they are met. */
export const layerNamesOf = (shapes: Iterable<Shape>): Set<string> => new Set(namesOf(layerLists(shapes)));

/** Every name that a drawing gives, layers first. */
export const knownNames = (shapes: readonly Shape[]): string[] => {
  const names = layerNamesOf(shapes);
  for (const shape of shapes) {
    if (shape.named) names.add(shape.id);
    for (const label of labelsNow(shape)) names.add(label);
  }
  return [...names];
};
