/** Which lines may be joined with each other. */

import type { Shape } from '../model/drawing.js';
import { isLikeMadeUp, isPlain, labelsNow } from '../model/shape-store.js';
import type { RoleName } from '../roles/claims.js';
import { strokeOf } from '../roles/selectors.js';

type RolesOf = (shape: Shape) => readonly RoleName[];

/**
 * Lines are of one kind when they lie in the same layers, are drawn in the same colour and have the
 * same role, by their own names if not by those. Marks have no kind: two lines that cross are a
 * mark as they are. Neither have shapes that are called by name (the job's marks).
 */
export const kindsBy = (
  rolesOf: RolesOf,
  called: ReadonlySet<string> = new Set(),
): ((shape: Shape) => string | undefined) => {
  const isCalled = calledBy(called);
  const textOf = new Recent<readonly string[], string>(textOfList);
  let layers: readonly string[] | undefined;
  let roles: readonly RoleName[] | undefined;
  const kindDrawn = new Recent<string, string>(
    (stroke) => `${textOf.get(layers!)} ${roles!.join()} ${stroke}`,
  );
  return (shape) => {
    const own = rolesOf(shape);
    if (own.includes('marks')) return undefined;
    if (isCalled(shape)) return undefined;
    if (shape.layers !== layers || own !== roles) {
      layers = shape.layers;
      roles = own;
      kindDrawn.clear();
    }
    return kindDrawn.get(strokeOf(shape));
  };
};

/**
 * Kinds by role alone: of a role, lines may be drawn in any layer and colour.
 * @param cutAlike the lines of which roles are cut alike, so that copies count whichever of them
 * they have; absent: each by itself
 */
export const kindsByRole = (
  rolesOf: RolesOf,
  called: ReadonlySet<string> = new Set(),
  cutAlike?: (roles: readonly RoleName[]) => string,
): ((shape: Shape) => string | undefined) => {
  const isCalled = calledBy(called);
  const kindOf = cutAlike ?? ((roles: readonly RoleName[]) => roles.join());
  let roles: readonly RoleName[] | undefined;
  let kind: string | undefined;
  return (shape) => {
    const own = rolesOf(shape);
    if (own !== roles) {
      roles = own;
      kind = own.includes('marks') ? undefined : kindOf(own);
    }
    return isCalled(shape) ? undefined : kind;
  };
};

const calledBy = (called: ReadonlySet<string>): ((shape: Shape) => boolean) => {
  const asksForMadeUp = [...called].some(isLikeMadeUp);
  return (shape) => {
    if (called.size === 0 || (!asksForMadeUp && isPlain(shape))) return false;
    for (const label of labelsNow(shape)) if (called.has(label)) return true;
    return called.has(shape.id);
  };
};

/** A text for a list of names that no other list has. */
const textOfList = (names: readonly string[]): string => {
  let text = '';
  for (const name of names) text += `${name.length}:${name}`;
  return text;
};

const mostRecent = 8;

/**
 * What was made of the last few keys. Shapes of a few layers and colours may come in turn; there
 * may also be a layer for each of very many shapes, and then a map of all of them would cost more
 * than it saves.
 */
class Recent<K, V> {
  private readonly keys: K[] = [];
  private readonly values: V[] = [];

  constructor(private readonly make: (key: K) => V) {}

  get(key: K): V {
    let at = this.keys.indexOf(key);
    if (at < 0) {
      if (this.keys.length === mostRecent) this.clear();
      at = this.keys.push(key) - 1;
      this.values.push(this.make(key));
    }
    return this.values[at]!;
  }

  clear(): void {
    this.keys.length = 0;
    this.values.length = 0;
  }
}
