/** Which shapes are of one kind, in numbers: a drawing may have a million of them. */
import type { Shape } from '../model/drawing.js';

type Kind = string | number;

/** Shapes of one kind have the same answer; those without one are left as they are. */
export type KindOf = (shape: Shape) => Kind | undefined;

export interface NumberedKinds {
  /** Of the shape in a place of the list: the number of its kind, from 0; -1 for none. */
  kindAt(place: number): number;
  /** The number of its group: kinds of one group are one wider kind. */
  groupAt(place: number): number;
  /** Wider kinds that are several kinds. */
  readonly several: ReadonlySet<Kind>;
}

/** @param widerKindOf absent: each kind is a group by itself */
export const numbered = (shapes: readonly Shape[], kindOf: KindOf, widerKindOf?: KindOf): NumberedKinds => {
  const kinds = new Numbers(shapes.length);
  const groups = widerKindOf && new Numbers(shapes.length);
  // Both are asked of one shape after another: what they have in common is worked out once for
  // each.
  for (let i = 0; i < shapes.length; i += 1) {
    const kind = kindOf(shapes[i]!);
    if (kind === undefined) continue;
    kinds.set(i, kind);
    const wider = widerKindOf?.(shapes[i]!);
    if (wider !== undefined) groups!.set(i, wider);
  }
  const kindAt = (place: number): number => kinds.at(place);
  if (groups === undefined || kinds.known.size < 2) return { kindAt, groupAt: kindAt, several: new Set() };
  const firsts = new Int32Array(groups.known.size).fill(-1);
  const isSeveral = new Uint8Array(groups.known.size);
  for (let i = 0; i < shapes.length; i += 1) {
    const group = groups.at(i);
    if (group < 0) continue;
    if (firsts[group]! < 0) firsts[group] = kinds.at(i);
    else if (firsts[group] !== kinds.at(i)) isSeveral[group] = 1;
  }
  const several = new Set(
    [...groups.known].filter(([, group]) => isSeveral[group] === 1).map(([wider]) => wider),
  );
  // A shape without a wider kind has to do with its own kind only.
  const groupAt = (place: number): number => {
    const group = groups.at(place);
    return group < 0 ? groups.known.size + kinds.at(place) : group;
  };
  return { kindAt, groupAt, several };
};

/** The numbers of the kinds of shapes, from 0 in the order in which they come. */
class Numbers {
  readonly known = new Map<Kind, number>();
  private readonly byPlace: Int32Array;
  private last: Kind | undefined;
  private number = -1;

  constructor(shapes: number) {
    this.byPlace = new Int32Array(shapes).fill(-1);
  }

  at(place: number): number {
    return this.byPlace[place]!;
  }

  set(place: number, kind: Kind): void {
    if (kind !== this.last) {
      this.last = kind;
      this.number = this.known.get(kind) ?? this.known.size;
      this.known.set(kind, this.number);
    }
    this.byPlace[place] = this.number;
  }
}
