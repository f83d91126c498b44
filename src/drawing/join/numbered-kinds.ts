/** Which shapes are of one kind, in numbers: a drawing may have a million of them. */
import type { Shape } from '../drawing.js';

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
  const { numbers: kinds, count } = numbersBy(shapes, kindOf);
  const kindAt = (place: number): number => kinds[place]!;
  if (widerKindOf === undefined || count < 2) return { kindAt, groupAt: kindAt, several: new Set() };
  const several = new Set<Kind>();
  const firsts = new Map<Kind, number>();
  const groups = numbersBy(shapes, (shape, place) => {
    const kind = kinds[place]!;
    const wider = kind < 0 ? undefined : widerKindOf(shape);
    if (wider === undefined) return undefined;
    const first = firsts.get(wider);
    if (first === undefined) firsts.set(wider, kind);
    else if (first !== kind) several.add(wider);
    return wider;
  });
  // A shape without a wider kind has to do with its own kind only.
  const groupAt = (place: number): number => {
    const group = groups.numbers[place]!;
    return group < 0 ? groups.count + kinds[place]! : group;
  };
  return { kindAt, groupAt, several };
};

const numbersBy = (
  shapes: readonly Shape[],
  kindOf: (shape: Shape, place: number) => Kind | undefined,
): { readonly numbers: Int32Array; readonly count: number } => {
  const known = new Map<Kind, number>();
  const numbers = new Int32Array(shapes.length).fill(-1);
  let last: Kind | undefined;
  let number = -1;
  for (let i = 0; i < shapes.length; i += 1) {
    const kind = kindOf(shapes[i]!, i);
    if (kind === undefined) continue;
    if (kind !== last) {
      number = known.get(kind) ?? known.size;
      known.set(kind, number);
      last = kind;
    }
    numbers[i] = number;
  }
  return { numbers, count: known.size };
};
