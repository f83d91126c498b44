/** What shapes are, as the job's `roles:` says it: from what each was tapped to be. Pure: tested without a browser. */
import type { Role } from '../../internal.js';
import type { ShapeView } from '../work/answers.js';

type Shape = Pick<ShapeView, 'id' | 'role' | 'layer' | 'stroke' | 'fill' | 'element' | 'box'>;

const roleKeys = { marks: 'mark', openings: 'opening', outline: 'outline' } as const;

/**
 * The shortest entries that select the shapes of each role and nothing else: a layer that holds nothing else, a colour that
 * nothing else is drawn with, else the shapes by their names.
 */
export const rolesYaml = (shapes: readonly Shape[], given: ReadonlyMap<string, Role>): string => {
  const roleOf = (shape: Shape): Role => given.get(shape.id) ?? shape.role;
  const parts = Object.entries(roleKeys).map(([key, role]) => {
    const own = shapes.filter((shape) => roleOf(shape) === role);
    return `${key}: [${entriesFor(own, shapes).map(quoted).join(', ')}]`;
  });
  return `{${parts.filter((part) => !part.endsWith('[]')).join(', ')}}`;
};

const entriesFor = (own: readonly Shape[], all: readonly Shape[]): string[] => {
  if (own.length === 0) return [];
  const [first] = own;
  const ids = new Set(own.map(({ id }) => id));
  const isExactly = (select: (shape: Shape) => boolean): boolean =>
    own.every(select) && all.every((shape) => !select(shape) || ids.has(shape.id));
  const { layer, stroke } = first!;
  if (own.length > 1 && layer !== undefined && !ids.has(layer) && isExactly((s) => s.layer === layer))
    return [layer];
  if (own.length > 1 && stroke !== undefined && isExactly((s) => s.stroke === stroke))
    return [`stroke:${stroke}`];
  return [...ids];
};

/** As YAML takes it in a list between brackets. */
const quoted = (entry: string): string =>
  /^[\p{L}_][\p{L}\p{N}_.-]*$/u.test(entry) && !/^(true|false|null|not|yes|no)$/i.test(entry)
    ? entry
    : JSON.stringify(entry);

export interface Alike {
  readonly says: string;
  readonly ids: readonly string[];
}

/** What may be meant by tapping one shape, the nearest first: it alone, those of its size, its layer, its colour. */
export const alikeOf = (shape: Shape, all: readonly Shape[]): Alike[] => {
  const size = ({ box }: Shape): readonly [number, number] => [box.maxX - box.minX, box.maxY - box.minY];
  const [w, h] = size(shape);
  const near = (a: number, b: number): boolean => Math.abs(a - b) <= 0.02 * Math.max(a, b) + 0.01;
  const isSize = (other: Shape): boolean => {
    const [ow, oh] = size(other);
    return other.element === shape.element && ((near(ow, w) && near(oh, h)) || (near(ow, h) && near(oh, w)));
  };
  const groups: Alike[] = [
    { says: 'only this', ids: [shape.id] },
    { says: 'of its size', ids: all.filter(isSize).map(({ id }) => id) },
    ...(shape.layer === undefined
      ? []
      : [
          {
            says: `in ${shape.layer}`,
            ids: all.filter(({ layer }) => layer === shape.layer).map(({ id }) => id),
          },
        ]),
    ...(shape.stroke === undefined
      ? []
      : [
          {
            says: `drawn ${shape.stroke}`,
            ids: all.filter(({ stroke }) => stroke === shape.stroke).map(({ id }) => id),
          },
        ]),
  ];
  return groups.filter(
    (group, i) =>
      (i === 0 || group.ids.length > 1) &&
      !groups
        .slice(0, i)
        .some(
          (other) => other.ids.length === group.ids.length && other.ids.every((id) => group.ids.includes(id)),
        ),
  );
};

/** The shape that a tap means: of those it lies in or beside the smallest. */
export const shapeAt = <S extends Pick<ShapeView, 'box'>>(
  shapes: readonly S[],
  { x, y }: { readonly x: number; readonly y: number },
  reach: number,
): S | undefined => {
  let best: S | undefined;
  let least = Number.POSITIVE_INFINITY;
  for (const shape of shapes) {
    const { minX, minY, maxX, maxY } = shape.box;
    if (x < minX - reach || x > maxX + reach || y < minY - reach || y > maxY + reach) continue;
    const area = (maxX - minX) * (maxY - minY);
    if (area < least) {
      best = shape;
      least = area;
    }
  }
  return best;
};
